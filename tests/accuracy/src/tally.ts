/**
 * Counts over the batches of one set: episodes found and not, errors of the load transfer, each check's verdicts, and the
 * list of everything that a person should look at.
 */
import type { TrueEpisode } from '@gearhold/fixtures';
import type { Stated } from './calibration.ts';
import { agreement, covers, truthFor } from './judge-check.ts';
import { match, withinMs } from './match.ts';
import type { RowFacts } from './provable.ts';
import type { FoundEpisode } from './wire.ts';

export interface CheckTally {
  /** Verdicts on matched episodes whose truth is not open. */
  judged: number;
  right: number;
  falseMissed: number;
  falseMet: number;
  undetermined: number;
  notAsked: number;
  /** Episodes of which the enumerator proves an outcome, those of them that it proves missed, and those left undetermined. */
  provable: number;
  provableMissed: number;
  provableUndetermined: number;
  /** The enumerator contradicts the truth: its own mistake, or the contract's. */
  enumeratorWrong: number;
  covered: number;
  uncovered: number;
}

/** Something to look at: where, and what. */
export interface Finding {
  readonly what: 'false-missed' | 'false-met' | 'uncovered' | 'missing' | 'spurious' | 'enumerator-wrong' | 'left-open';
  readonly vehicleId: string;
  readonly time: string;
  readonly check: string | null;
  readonly detail: string;
}

/** A check of which nothing was judged yet. */
export function noJudgement(): CheckTally {
  return {
    judged: 0,
    right: 0,
    falseMissed: 0,
    falseMet: 0,
    undetermined: 0,
    notAsked: 0,
    provable: 0,
    provableMissed: 0,
    provableUndetermined: 0,
    enumeratorWrong: 0,
    covered: 0,
    uncovered: 0,
  };
}

const mainKinds = new Set(['coupling', 'uncoupling']);

export class Tally {
  readonly checks = new Map<string, CheckTally>();
  readonly findings: Finding[] = [];
  readonly stated: Stated[] = [];
  readonly errorsSeconds: number[] = [];
  hours = 0;
  rows = 0;
  truth = 0;
  found = 0;
  matched = 0;
  /** Those of the three whose load came or went within a silence. */
  silentTruth = 0;
  silentFound = 0;
  silentMatched = 0;
  /** Per kind beyond couplings and uncouplings: true, found, matched. */
  readonly others = new Map<string, { truth: number; found: number; matched: number }>();
  dumpRight = 0;
  dumpWrong = 0;
  dumpUnknown = 0;
  loadRight = 0;
  loadWrong = 0;
  loadUnknown = 0;
  driverWrong = 0;
  /** Missed verdicts on couplings and uncouplings that are none, or are not where they are said to be. */
  missedOnSpurious = 0;

  add(truth: readonly TrueEpisode[], found: readonly FoundEpisode[], facts: ReadonlyMap<TrueEpisode, RowFacts>): void {
    const { pairs, missing, spurious } = match(truth, found);
    for (const episode of missing) if (episode.detectable) this.#missed(episode, facts.get(episode));
    for (const episode of spurious) this.#spurious(episode, inSilence(episode, missing, facts));
    for (const pair of pairs) this.#pair(pair.truth, pair.found, facts.get(pair.truth));
  }

  #other(kind: string): { truth: number; found: number; matched: number } {
    const kept = this.others.get(kind) ?? { truth: 0, found: 0, matched: 0 };
    this.others.set(kind, kept);
    return kept;
  }

  #missed(episode: TrueEpisode, facts: RowFacts | undefined): void {
    if (!mainKinds.has(episode.kind)) {
      this.#other(episode.kind).truth += 1;
      return;
    }
    this.truth += 1;
    if (facts?.silence) this.silentTruth += 1;
    const why = facts?.silence ? ', within a silence' : '';
    this.#note('missing', episode.vehicleId, episode.loadTransferTime, null, describe(episode) + why);
  }

  #spurious(episode: FoundEpisode, silent: boolean): void {
    if (!mainKinds.has(episode.kind)) {
      this.#other(episode.kind).found += 1;
      return;
    }
    this.found += 1;
    if (silent) this.silentFound += 1;
    this.stated.push({ confidence: episode.confidence, real: false });
    const timeMs = Date.parse(episode.loadTransferTime);
    const missed = episode.checks.filter((check) => check.outcome === 'missed').map((check) => check.check);
    this.missedOnSpurious += missed.length;
    const accuses = missed.length > 0 ? `, says missed: ${missed.join(' ')}` : '';
    this.#note(
      'spurious',
      episode.vehicleId,
      timeMs,
      null,
      `${episode.kind}, confidence ${episode.confidence}${accuses}`,
    );
  }

  #pair(truth: TrueEpisode, found: FoundEpisode, facts: RowFacts | undefined): void {
    if (!mainKinds.has(truth.kind)) {
      const other = this.#other(truth.kind);
      other.truth += 1;
      other.found += 1;
      other.matched += 1;
    } else {
      if (truth.detectable) this.truth += 1;
      this.found += 1;
      if (truth.detectable) this.matched += 1;
      if (facts?.silence) {
        this.silentTruth += 1;
        this.silentFound += 1;
        this.silentMatched += 1;
      }
      this.stated.push({ confidence: found.confidence, real: true });
      this.errorsSeconds.push(Math.abs(Date.parse(found.loadTransferTime) - truth.loadTransferTime) / 1000);
      if (found.suspensionDumped === null) this.dumpUnknown += 1;
      else if (found.suspensionDumped === truth.dumped) this.dumpRight += 1;
      else this.dumpWrong += 1;
      const nearLimit = Math.abs(truth.loadShare - 0.4) < 0.03 || Math.abs(truth.loadShare - 0.7) < 0.03;
      if (found.trailerLoad === 'unknown') this.loadUnknown += 1;
      else if (found.trailerLoad === truth.trailerLoad || nearLimit) this.loadRight += 1;
      else this.loadWrong += 1;
      if (found.driverId !== null && found.driverId !== truth.driverId) this.driverWrong += 1;
    }
    this.#checks(truth, found, facts?.provable ?? {});
  }

  #checks(truth: TrueEpisode, found: FoundEpisode, provable: RowFacts['provable']): void {
    for (const check of found.checks) {
      const plain = truth.checks[check.check];
      if (plain === undefined) continue;
      const known = truthFor(check, plain, truth);
      const tally = this.#tallyOf(check.check);
      const said = agreement(check, known);
      const detail = `${truth.kind}, said ${check.outcome} ${span(check.measured)}, true ${known.outcome} ${span(known)}: ${check.reason}`;
      if (said === 'false-missed') {
        tally.falseMissed += 1;
        this.#note('false-missed', truth.vehicleId, truth.loadTransferTime, check.check, detail);
      } else if (said === 'false-met') {
        tally.falseMet += 1;
        this.#note('false-met', truth.vehicleId, truth.loadTransferTime, check.check, detail);
      } else if (said === 'not-asked') tally.notAsked += 1;
      const asked = known.outcome === 'met' || known.outcome === 'missed';
      if (asked) tally.judged += 1;
      if (asked && said === 'right') tally.right += 1;
      if (asked && said === 'undetermined') tally.undetermined += 1;
      const holds = covers(check, known);
      if (holds === true) tally.covered += 1;
      if (holds === false) {
        tally.uncovered += 1;
        this.#note('uncovered', truth.vehicleId, truth.loadTransferTime, check.check, detail);
      }
      const left = said === 'undetermined' ? detail : null;
      this.#proven(tally, truth, check.check, known.outcome, left, provable[check.check]);
    }
  }

  #proven(
    tally: CheckTally,
    truth: TrueEpisode,
    check: string,
    trueOutcome: string,
    leftOpen: string | null,
    proven: string | undefined,
  ): void {
    if ((proven !== 'met' && proven !== 'missed') || trueOutcome === 'not-applicable') return;
    if (trueOutcome !== proven && (trueOutcome === 'met' || trueOutcome === 'missed')) {
      tally.enumeratorWrong += 1;
      this.#note(
        'enumerator-wrong',
        truth.vehicleId,
        truth.loadTransferTime,
        check,
        `proves ${proven}, true ${trueOutcome}`,
      );
      return;
    }
    tally.provable += 1;
    if (proven === 'missed') tally.provableMissed += 1;
    if (leftOpen === null) return;
    tally.provableUndetermined += 1;
    this.#note('left-open', truth.vehicleId, truth.loadTransferTime, check, leftOpen);
  }

  #tallyOf(check: string): CheckTally {
    let tally = this.checks.get(check);
    if (tally === undefined) {
      tally = noJudgement();
      this.checks.set(check, tally);
    }
    return tally;
  }

  #note(what: Finding['what'], vehicleId: string, timeMs: number, check: string | null, detail: string): void {
    this.findings.push({ what, vehicleId, time: new Date(timeMs).toISOString(), check, detail });
  }
}

/** Whether a found episode is a true one, misplaced within the silence in which it happened. */
function inSilence(
  episode: FoundEpisode,
  missing: readonly TrueEpisode[],
  facts: ReadonlyMap<TrueEpisode, RowFacts>,
): boolean {
  const timeMs = Date.parse(episode.loadTransferTime);
  return missing.some((truth) => {
    const silence = facts.get(truth)?.silence ?? null;
    if (silence === null || truth.kind !== episode.kind || truth.vehicleId !== episode.vehicleId) return false;
    return timeMs >= silence.startMs - withinMs && timeMs <= silence.endMs + withinMs;
  });
}

function describe(episode: TrueEpisode): string {
  const dumped = episode.dumped ? ', dumped' : '';
  return `${episode.kind}, ${episode.pressureBeforeKpa.toFixed(0)} to ${episode.pressureAfterKpa.toFixed(0)} kPa${dumped}`;
}

function span(of: { low: number | null; high: number | null; unit: string } | null): string {
  if (of === null) return '(nothing measured)';
  const side = (value: number | null): string => (value === null ? 'open' : String(Math.round(value * 100) / 100));
  return `${side(of.low)} to ${side(of.high)} ${of.unit}`;
}
