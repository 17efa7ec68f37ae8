/**
 * What a fleet states of its trucks, places, drivers and procedure, into the store. Whatever changes what an episode says makes the
 * vehicles that it touches due for analysis again, in the same transaction.
 */
import type { Vehicle } from '@gearhold/episodes';
import { type Policy, policyFile, type Site } from '@gearhold/policy';
import type { DriverEntry } from '@gearhold/schemas';
import {
  type Engine,
  markDirty,
  policyValidities,
  readDrivers,
  statePolicy,
  storeDrivers,
  storeSites,
  storeVehicles,
  type Transaction,
} from '@gearhold/store';
import { dayAfter } from '../day/window.ts';
import type { DriverMode } from './drivers-kept.ts';

/** What is left out stays as it is stored. */
export interface Statements {
  readonly vehicles?: readonly Vehicle[] | undefined;
  readonly sites?: readonly Site[] | undefined;
  readonly policy?: Policy | undefined;
  /** From when the policy holds, ms since the epoch. Left out: from always where none is stored yet, else from now on. */
  readonly policyFromMs?: number | undefined;
  readonly drivers?: readonly DriverEntry[] | undefined;
}

/** How drivers are kept: names only go in where they may, and ids as rows carry them. */
export interface DriversAsKept {
  readonly mode: DriverMode;
  readonly driver: (driverId: string | null) => string | null;
}

/** Stores what is given, all or nothing. Doing it twice is doing it once. */
export async function storeStatements(
  engine: Engine,
  given: Statements,
  kept: DriversAsKept,
  nowMs: number,
): Promise<void> {
  await engine.transaction(
    async (transaction) => {
      if (given.vehicles !== undefined) {
        const changed = await storeVehicles(transaction, given.vehicles);
        if (changed.length > 0) await markDirty(transaction, Number.NEGATIVE_INFINITY, changed);
      }
      if (given.sites !== undefined && (await storeSites(transaction, given.sites)))
        await markDirty(transaction, Number.NEGATIVE_INFINITY, 'all');
      if (given.policy !== undefined) await takePolicy(transaction, given.policy, given.policyFromMs, nowMs);
      if (given.drivers !== undefined) await takeDrivers(transaction, given.drivers, kept);
    },
    { repeatable: true },
  );
}

async function takePolicy(
  transaction: Transaction,
  policy: Policy,
  fromMs: number | undefined,
  nowMs: number,
): Promise<void> {
  const document = JSON.stringify(policyFile(policy));
  const stated = await policyValidities(transaction);
  // The same file given again each night says nothing new.
  if (fromMs === undefined && stated.at(-1)?.document === document) return;
  const from = fromMs ?? (stated.length === 0 ? Number.NEGATIVE_INFINITY : nowMs);
  const { changed } = await statePolicy(transaction, document, from, nowMs);
  if (changed) await markDirty(transaction, from, 'all');
}

async function takeDrivers(
  transaction: Transaction,
  drivers: readonly DriverEntry[],
  { mode, driver }: DriversAsKept,
): Promise<void> {
  if (mode === 'none') return;
  const entries = drivers.map(({ driverId, name, terminal, from, to }) => ({
    driverId: driver(driverId)!,
    name: mode === 'named' ? (name ?? null) : null,
    terminal,
    from: from ?? null,
    until: to === undefined ? null : dayAfter(to),
  }));
  entries.sort((a, b) => (a.driverId === b.driverId ? compare(a.from, b.from) : compare(a.driverId, b.driverId)));
  const before = JSON.stringify(await readDrivers(transaction));
  await storeDrivers(transaction, entries);
  if (JSON.stringify(await readDrivers(transaction)) !== before)
    await markDirty(transaction, Number.NEGATIVE_INFINITY, 'all');
}

function compare(a: string | null, b: string | null): number {
  return (a ?? '') < (b ?? '') ? -1 : (a ?? '') > (b ?? '') ? 1 : 0;
}
