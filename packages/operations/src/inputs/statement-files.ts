/** The companion files that go into the store, and the profile under which readings do. What is not given stays as it is stored. */
import { createHash } from 'node:crypto';
import { type Vehicle, vehiclesSchema } from '@gearhold/episodes';
import { type Policy, type Site, sitesSchema } from '@gearhold/policy';
import type { DriverEntry } from '@gearhold/schemas';
import { contractMapping, type Mapping, mappingOf, sourceProfileSchema } from '@gearhold/signals';
import { readChecked, readPolicy } from './companions.ts';
import { readDriversFile } from './drivers-file.ts';

/** Paths as given. */
export interface StatementPaths {
  readonly policy?: string | undefined;
  readonly vehicles?: string | undefined;
  readonly sites?: string | undefined;
  readonly driversFile?: string | undefined;
  readonly profile?: string | undefined;
}

export interface StatementFiles {
  readonly policy: Policy | undefined;
  readonly vehicles: readonly Vehicle[] | undefined;
  readonly sites: readonly Site[] | undefined;
  readonly drivers: readonly DriverEntry[] | undefined;
  readonly mapping: Mapping;
  /** The same for the same profile. */
  readonly mappingId: string;
}

/** @throws Failure of status 2 */
export async function readStatementFiles(paths: StatementPaths): Promise<StatementFiles> {
  const { policy, vehicles, sites, driversFile, profile } = paths;
  const given = profile === undefined ? null : await readChecked(profile, 'source profile', sourceProfileSchema);
  return {
    policy: policy === undefined ? undefined : await readPolicy(policy),
    vehicles: vehicles === undefined ? undefined : await readChecked(vehicles, 'vehicles file', vehiclesSchema),
    sites: sites === undefined ? undefined : await readChecked(sites, 'sites file', sitesSchema),
    drivers: driversFile === undefined ? undefined : await readDriversFile(driversFile),
    mapping: given === null ? contractMapping : mappingOf(given),
    mappingId: createHash('sha256').update(JSON.stringify(given)).digest('hex').slice(0, 16),
  };
}
