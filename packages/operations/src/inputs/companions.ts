/** The companion files of a run, each checked by the schema of the room that owns it. */
import { type Vehicle, vehiclesSchema } from '@gearhold/episodes';
import { builtInPolicy, type Policy, parsePolicy, problemSentence, type Site, sitesSchema } from '@gearhold/policy';
import { checkCompanion, problemFailure, readJson } from '@gearhold/shared';
import { contractMapping, type Mapping, mappingOf, sourceProfileSchema } from '@gearhold/signals';
import type { z } from 'zod';

export interface Companions {
  readonly policy: Policy;
  readonly vehicles: readonly Vehicle[];
  readonly sites: readonly Site[];
  readonly mapping: Mapping;
}

/** Paths as given on the command line. */
export interface CompanionPaths {
  readonly policy?: string;
  readonly vehicles?: string;
  readonly sites?: string;
  readonly profile?: string;
}

/** Reads what is given; the built-in policy and nothing else where it is not. @throws Failure of status 2 */
export async function readCompanions({ policy, vehicles, sites, profile }: CompanionPaths): Promise<Companions> {
  return {
    policy: policy === undefined ? builtInPolicy : await readPolicy(policy),
    vehicles: vehicles === undefined ? [] : await readChecked(vehicles, 'vehicles file', vehiclesSchema),
    sites: sites === undefined ? [] : await readChecked(sites, 'sites file', sitesSchema),
    mapping: profile === undefined ? contractMapping : await readProfile(profile),
  };
}

/** The JSON of a file as its schema has it. @throws Failure of status 2 */
export async function readChecked<T>(path: string, what: string, schema: z.ZodType<T>): Promise<T> {
  return checkCompanion(await readJson(path, what), path, what, schema);
}

/** @throws Failure of status 2 */
export async function readPolicy(path: string): Promise<Policy> {
  const result = parsePolicy(await readJson(path, 'policy file'));
  if ('policy' in result) return result.policy;
  throw problemFailure(path, 'policy file', result.problems.map(problemSentence));
}

async function readProfile(path: string): Promise<Mapping> {
  return mappingOf(await readChecked(path, 'source profile', sourceProfileSchema));
}
