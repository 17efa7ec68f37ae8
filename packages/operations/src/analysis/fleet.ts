/**
 * What the fleet states, read from the store once a run: its trucks, places, drivers, and which policy holds from when. An
 * episode is judged by the policy in force at its load transfer; before the first one stated the built-in one is.
 */
import { type Episode, entriesByVehicle, type Vehicle } from '@gearhold/episodes';
import {
  builtInPolicy,
  contextOf,
  judge,
  type Policy,
  parsePolicy,
  policyFile,
  problemSentence,
  type Site,
} from '@gearhold/policy';
import { exitStatus, Failure } from '@gearhold/shared';
import {
  type DriverEntry,
  type Engine,
  type FoundEpisode,
  keepPolicy,
  policyValidities,
  readDrivers,
  readSites,
  readVehicles,
} from '@gearhold/store';
import { dayOf } from '../day/index.ts';
import { severitiesOf } from './severity.ts';

interface PolicyInForce {
  /** From when on, ms since the epoch. */
  readonly fromMs: number;
  readonly policyId: string;
  readonly policy: Policy;
}

export class Fleet {
  readonly #entries: ReadonlyMap<string, readonly Vehicle[]>;
  readonly #sites: readonly Site[];
  readonly #drivers: ReadonlyMap<string, readonly DriverEntry[]>;
  /** In order of time. */
  readonly #policies: readonly PolicyInForce[];
  readonly #zone: string;

  private constructor(
    entries: ReadonlyMap<string, readonly Vehicle[]>,
    sites: readonly Site[],
    drivers: ReadonlyMap<string, readonly DriverEntry[]>,
    policies: readonly PolicyInForce[],
    zone: string,
  ) {
    this.#entries = entries;
    this.#sites = sites;
    this.#drivers = drivers;
    this.#policies = policies;
    this.#zone = zone;
  }

  /**
   * @param zone IANA name of the fleet's zone: a driver belongs to a terminal by its days
   * @throws Failure where a stored policy is none that this version can read
   */
  static async read(store: Engine, zone: string): Promise<Fleet> {
    const builtIn = await keepPolicy(store, JSON.stringify(policyFile(builtInPolicy)));
    const policies: PolicyInForce[] = [{ fromMs: Number.NEGATIVE_INFINITY, policyId: builtIn, policy: builtInPolicy }];
    for (const { fromMs, policyId, document } of await policyValidities(store)) {
      policies.push({ fromMs, policyId, policy: policyIn(document, policyId) });
    }
    return new Fleet(
      entriesByVehicle(await readVehicles(store)),
      await readSites(store),
      Map.groupBy(await readDrivers(store), ({ driverId }) => driverId),
      policies,
      zone,
    );
  }

  /** What is stated of a vehicle. */
  entries(vehicleId: string): readonly Vehicle[] {
    return this.#entries.get(vehicleId) ?? [];
  }

  /** An episode as it is stored, but for the readings around it. */
  judged(episode: Episode): Omit<FoundEpisode, 'evidence' | 'arrivedLate'> {
    const transferMs = episode.loadTransferTime.best;
    const { policy, policyId } = this.#policies.findLast(({ fromMs }) => fromMs <= transferMs)!;
    const context = contextOf(episode, { sites: this.#sites, entries: this.#entries });
    const wire = judge(episode, policy, context);
    return {
      wire,
      severities: severitiesOf(wire),
      policyId,
      closed: episode.closed,
      siteTerminal: context.site?.terminal ?? null,
      vehicleTerminal: context.vehicle?.terminal ?? null,
      driverTerminal: this.#driverTerminal(episode.driverId, dayOf(transferMs, context.site?.zone ?? this.#zone)),
    };
  }

  #driverTerminal(driverId: string | null, day: string): string | null {
    if (driverId === null) return null;
    const entries = this.#drivers.get(driverId) ?? [];
    const holds = ({ from, until }: DriverEntry) => (from === null || from <= day) && (until === null || day < until);
    return entries.findLast(holds)?.terminal ?? null;
  }
}

function policyIn(document: string, policyId: string): Policy {
  const result = parsePolicy(JSON.parse(document));
  if ('policy' in result) return result.policy;
  throw new Failure(
    exitStatus.fault,
    `the stored policy ${policyId} cannot be read: ${problemSentence(result.problems[0]!)}`,
  );
}
