/** The companion files of a run, each checked by the schema of the room that owns it. */

import { type Vehicle, vehiclesSchema } from '@gearhold/episodes';
import { contractMapping, type Mapping } from '@gearhold/signals';
import { z } from 'zod';
import { type Site, sitesSchema } from '../../../packages/policy/src/site.ts';
import { readCompanion } from './companion.ts';

export interface Companions {
  readonly policy: unknown;
  readonly vehicles: readonly Vehicle[];
  readonly sites: readonly Site[];
  readonly mapping: Mapping;
}

export interface CompanionPaths {
  readonly policy?: string;
  readonly vehicles?: string;
  readonly sites?: string;
  readonly profile?: string;
}

/** @throws Failure of status 2 */
export async function readCompanions(paths: CompanionPaths): Promise<Companions> {
  return {
    policy: paths.policy === undefined ? null : await readCompanion(paths.policy, 'policy file', z.unknown()),
    vehicles: paths.vehicles === undefined ? [] : await readCompanion(paths.vehicles, 'vehicles file', vehiclesSchema),
    sites: paths.sites === undefined ? [] : await readCompanion(paths.sites, 'sites file', sitesSchema),
    mapping: contractMapping,
  };
}
