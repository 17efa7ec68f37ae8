/**
 * Totals of a field check, each share with its 95 % interval, and what may be concluded from them. Before enough was
 * watched nothing is; a false `missed` is said before everything else, however much was watched.
 */

import { count } from '@gearhold/look';
import { type Proportion, wilson } from '@gearhold/rates';
import { median } from 'simple-statistics';
import { enoughWatched } from './columns.ts';
import type { Comparison, RowFound, TimeCompared, Unwatched } from './compare.ts';
import { type StepCompared, type StepResult, stepResults } from './steps.ts';

export interface StepTotals {
  readonly check: string;
  readonly times: Readonly<Record<StepResult, number>>;
  /** False `missed` of the steps that were seen done and judged under the policy; null where none was. */
  readonly falseMissed: Proportion | null;
}

export interface TimeTotals {
  readonly milestone: TimeCompared['milestone'];
  readonly inside: number;
  readonly outside: number;
  /** Watched, but not placed by the analysis. */
  readonly notPlaced: number;
}

export interface Totals {
  /** Couplings and uncouplings that could be compared. */
  readonly watched: number;
  /** Found of those; null where there is none. */
  readonly found: Proportion | null;
  readonly steps: readonly StepTotals[];
  /** Over all checks. */
  readonly falseMissed: Proportion | null;
  readonly times: readonly TimeTotals[];
  /** Within the bounds, of the stopwatch times that the analysis placed. */
  readonly inside: Proportion | null;
  /** How far the stopwatch is ahead of the trucks' clocks, median, s; null of fewer than five times. */
  readonly watchAheadSeconds: number | null;
}

/** Fewer times than this say nothing about the watch. */
const fewestForWatch = 5;

export function totalsOf(comparison: Comparison): Totals {
  const { found, notFound } = comparison;
  const steps = found.flatMap((row) => row.steps);
  const times = found.flatMap((row) => row.times);
  const watched = found.length + notFound.length;
  const placed = times.filter(({ bounds }) => bounds !== null);
  const ahead = placed.flatMap(({ bounds, watchedMs }) => (watchedMs - bounds!.best) / 1000);
  const perStep = grouped(steps, ({ check }) => check).map(([check, group]) => stepTotals(check, group));
  return {
    watched,
    found: wilson(found.length, watched),
    steps: perStep,
    falseMissed: falseMissedShare(steps),
    times: grouped(times, ({ milestone }) => milestone).map(([milestone, group]) => timeTotals(milestone, group)),
    inside: wilson(placed.filter(({ outsideSeconds }) => outsideSeconds === 0).length, placed.length),
    watchAheadSeconds: ahead.length < fewestForWatch ? null : median(ahead),
  };
}

function stepTotals(check: string, steps: readonly StepCompared[]): StepTotals {
  const times = Object.fromEntries(
    stepResults.map((name) => [name, steps.filter(({ result }) => result === name).length]),
  ) as Record<StepResult, number>;
  return { check, times, falseMissed: falseMissedShare(steps) };
}

function falseMissedShare(steps: readonly StepCompared[]): Proportion | null {
  const done = steps.filter(
    ({ check, expected, result }) => check !== 'suspensionDumped' && expected === 'met' && result !== 'not-asked',
  );
  return wilson(done.filter(({ result }) => result === 'false-missed').length, done.length);
}

function timeTotals(milestone: TimeTotals['milestone'], times: readonly TimeCompared[]): TimeTotals {
  const inside = times.filter(({ outsideSeconds }) => outsideSeconds === 0).length;
  const notPlaced = times.filter(({ bounds }) => bounds === null).length;
  return { milestone, inside, outside: times.length - inside - notPlaced, notPlaced };
}

/** In the order in which the keys first come. */
function grouped<T, K>(items: readonly T[], keyOf: (item: T) => K): [K, T[]][] {
  return [...Map.groupBy(items, keyOf)];
}

export interface FalseMissed {
  readonly row: RowFound;
  readonly step: StepCompared;
}

export interface Conclusion {
  /** Whether enough was watched to conclude anything. */
  readonly enough: boolean;
  readonly needed: number;
  /** Called missed, though seen done. */
  readonly falseMissed: readonly FalseMissed[];
  /** Called missed on a coupling or uncoupling that nobody saw while watching. */
  readonly onNone: readonly Unwatched[];
  /** In words, the gravest first. */
  readonly sentences: readonly string[];
}

export function conclude(comparison: Comparison, totals: Totals): Conclusion {
  const falseMissed = comparison.found.flatMap((row) =>
    row.steps.filter(({ result }) => result === 'false-missed').map((step) => ({ row, step })),
  );
  const onNone = comparison.unwatched.filter(({ missed }) => missed.length > 0);
  const enough = totals.watched >= enoughWatched;
  const sentences = [...accusations(falseMissed, onNone)];
  if (enough) sentences.push(...conclusions(comparison, totals));
  else {
    sentences.push(
      `Not enough watched: ${totals.watched} of ${enoughWatched}.`,
      `Act on no verdict before ${enoughWatched} couplings and uncouplings were watched and compared; what follows is only what was seen so far.`,
    );
  }
  return { enough, needed: enoughWatched, falseMissed, onNone, sentences };
}

function accusations(falseMissed: readonly FalseMissed[], onNone: readonly Unwatched[]): string[] {
  const sentences: string[] = [];
  if (falseMissed.length > 0) {
    const checks = [...new Set(falseMissed.map(({ step }) => step.check))].sort();
    const times = count(falseMissed.length, 'step was', 'steps were');
    sentences.push(
      `${times} called missed though a person saw ${falseMissed.length === 1 ? 'it' : 'them'} done. Act on no missed verdict of ${checks.join(', ')} until the cause is known.`,
    );
  }
  if (onNone.length > 0) {
    const verdicts = onNone.reduce((sum, { missed }) => sum + missed.length, 0);
    sentences.push(
      `${count(verdicts, 'step was', 'steps were')} called missed at ${count(onNone.length, 'a coupling or uncoupling', 'couplings or uncouplings').replace(/^1 a /, 'a ')} that nobody saw happen while watching.`,
    );
  }
  return sentences;
}

function conclusions({ unwatched }: Comparison, { watched, found, falseMissed }: Totals): string[] {
  const sentences = [`${watched} watched, ${enoughWatched} are enough.`];
  if (found !== null) sentences.push(`Found: ${shareWords(found)}.`);
  if (unwatched.length > 0) sentences.push(`Found though nobody saw one: ${unwatched.length}.`);
  if (falseMissed !== null && falseMissed.count === 0) {
    sentences.push(
      `None of ${count(falseMissed.of, 'step')} seen done was called missed; by the 95\u00a0% interval it may happen to up to ${percent(falseMissed.high)} of them.`,
    );
  }
  if (falseMissed === null)
    sentences.push('No step that was seen done could be compared: of false missed verdicts nothing is known.');
  sentences.push('That holds for the trucks, the yard and the sources that were watched.');
  return sentences;
}

/** `11 of 12 (64.6 to 98.5 %)`; the space before the sign does not break. */
export function shareWords({ count: part, of, low, high }: Proportion): string {
  return `${part} of ${of} (${percent(low).replace('\u00a0%', '')} to ${percent(high)})`;
}

export function percent(share: number): string {
  return `${Number((share * 100).toFixed(1))}\u00a0%`;
}
