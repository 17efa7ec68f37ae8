/**
 * What a report says, gathered episode by episode in little memory: the anomalies, what could not be judged and why, and a
 * tally of outcomes. The order of arrival changes nothing.
 */
import { type Outcome, outcomes, type WireCheck, type WireEpisode } from '@gearhold/policy';

/** One missed check with what the page says of its episode. */
export interface Anomaly {
  readonly check: WireCheck;
  readonly episode: Pick<
    WireEpisode,
    'kind' | 'vehicleId' | 'driverId' | 'driverBasis' | 'loadTransferTime' | 'siteId' | 'trailerLoad' | 'confidence'
  >;
}

/** Checks that could not be judged for one and the same reason. */
export interface Unjudged {
  readonly check: string;
  readonly times: number;
  readonly vehicleIds: readonly string[];
  /** One of them: the first by vehicle and time. */
  readonly example: { readonly check: WireCheck; readonly vehicleId: string; readonly loadTransferTime: string };
  /** Whether all of them say the same in the same figures. */
  readonly alike: boolean;
}

export type Tally = Readonly<Record<Outcome, number>>;

interface Group {
  check: string;
  times: number;
  vehicleIds: Set<string>;
  example: Unjudged['example'];
  alike: boolean;
}

const urgencyOrder = ['urgent', 'today', 'routine'];

export class Findings {
  readonly #anomalies: Anomaly[] = [];
  readonly #groups = new Map<string, Group>();
  readonly #tallies = new Map<string, Record<Outcome, number>>();
  readonly #vehicleIds = new Set<string>();
  readonly #kinds = new Map<string, number>();
  #first: string | null = null;
  #last: string | null = null;

  /** Episodes by kind. */
  get kinds(): ReadonlyMap<string, number> {
    return this.#kinds;
  }

  /** Vehicles with an episode. */
  get vehicles(): number {
    return this.#vehicleIds.size;
  }

  /** Earliest and latest load transfer, RFC 3339 in UTC; null without an episode. */
  get period(): { readonly first: string; readonly last: string } | null {
    return this.#first === null || this.#last === null ? null : { first: this.#first, last: this.#last };
  }

  /** The urgent ones first, then by time and vehicle. */
  get anomalies(): readonly Anomaly[] {
    return this.#anomalies.toSorted(
      (a, b) =>
        urgencyOrder.indexOf(a.check.urgency) - urgencyOrder.indexOf(b.check.urgency) ||
        compare(a.episode.loadTransferTime, b.episode.loadTransferTime) ||
        compare(a.episode.vehicleId, b.episode.vehicleId) ||
        compare(a.check.check, b.check.check),
    );
  }

  /** The most frequent reason first. */
  get unjudged(): readonly Unjudged[] {
    const groups = [...this.#groups].map(([key, group]) => ({ key, group }));
    groups.sort((a, b) => b.group.times - a.group.times || compare(a.key, b.key));
    return groups.map(({ group }) => ({ ...group, vehicleIds: [...group.vehicleIds].sort(compare) }));
  }

  /** Outcomes by check. */
  get tallies(): ReadonlyMap<string, Tally> {
    return this.#tallies;
  }

  add(episode: WireEpisode): void {
    const { loadTransferTime, vehicleId } = episode;
    this.#kinds.set(episode.kind, (this.#kinds.get(episode.kind) ?? 0) + 1);
    this.#vehicleIds.add(vehicleId);
    if (this.#first === null || loadTransferTime < this.#first) this.#first = loadTransferTime;
    if (this.#last === null || loadTransferTime > this.#last) this.#last = loadTransferTime;
    for (const check of episode.checks) {
      this.#tally(check);
      if (check.outcome === 'undetermined') this.#group(check, episode);
      if (check.outcome !== 'missed') continue;
      const { kind, driverId, driverBasis, siteId, trailerLoad, confidence } = episode;
      const said = { kind, vehicleId, driverId, driverBasis, loadTransferTime, siteId, trailerLoad, confidence };
      this.#anomalies.push({ check, episode: said });
    }
  }

  #tally({ check, outcome }: WireCheck): void {
    let tally = this.#tallies.get(check);
    if (tally === undefined) {
      tally = Object.fromEntries(outcomes.map((name) => [name, 0])) as Record<Outcome, number>;
      this.#tallies.set(check, tally);
    }
    tally[outcome] += 1;
  }

  #group(check: WireCheck, { vehicleId, loadTransferTime }: WireEpisode): void {
    const key = reasonKey(check);
    const example = { check, vehicleId, loadTransferTime };
    const group = this.#groups.get(key);
    if (group === undefined) {
      this.#groups.set(key, { check: check.check, times: 1, vehicleIds: new Set([vehicleId]), example, alike: true });
      return;
    }
    group.times += 1;
    group.vehicleIds.add(vehicleId);
    if (check.reason !== group.example.check.reason) group.alike = false;
    const before =
      compare(vehicleId, group.example.vehicleId) || compare(loadTransferTime, group.example.loadTransferTime);
    if (before < 0) group.example = example;
  }
}

/** The same for checks whose sentences differ in their figures only. */
function reasonKey({ check, reasonParts }: WireCheck): string {
  const words = Object.entries(reasonParts.values).filter(([, value]) => typeof value === 'string');
  return JSON.stringify([check, reasonParts.text, words]);
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
