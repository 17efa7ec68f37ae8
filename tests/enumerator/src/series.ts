/**
 * One signal as samples, and what each gap between two of them allows: the contract's 'How long a value stands' and 'What
 * may have happened between two samples'.
 *
 * A change-only source is brought to the same form: every row of the vehicle that does not carry the signal is a silent
 * sample, which says that the value is still within the silent threshold of the one last sent.
 */
import type { SignalName } from '@gearhold/signals';
import { freshRows, type Known, type Row, type SourceMode } from './row.ts';

export interface Sample {
  readonly timeMs: number;
  readonly value: number;
  /** The true reading is within so much of `value`. */
  readonly slack: number;
}

/**
 * What a gap allows. `shown`: no change between two samples that agree, whoever it would help. `agreed`: none for a bound
 * that could prove `met`; for one that could prove `missed`, any course. `hole`: any course for both.
 */
export type Link = 'shown' | 'agreed' | 'hole';

export interface Series {
  readonly mode: SourceMode;
  readonly samples: readonly Sample[];
  /** `links[i]` is the gap between samples i and i + 1. */
  readonly links: readonly Link[];
  /** How long a value stands after its last sample, ms. */
  readonly standsMs: number;
}

/** Which proof a bound could become part of. */
export type Proof = 'met' | 'missed';

/** Over longer gaps a periodic source shows no change only to a bound that could prove `met`. */
const shownGapMs = 1500;
const leastStandMs = 3000;
const changeOnlySilenceMs = 90_000;
/** A change-only source looks at least this often unless its rows never come so close. */
const lookMs = 1000;

/** Whether two samples that agree show no change between them, to a bound of that proof. */
export function holds(link: Link, proof: Proof): boolean {
  return link === 'shown' || (link === 'agreed' && proof === 'met');
}

export class View {
  readonly rows: readonly Row[];
  readonly known: Known;
  readonly #series = new Map<SignalName, Series | null>();

  constructor(rows: readonly Row[], known: Known) {
    this.rows = freshRows(rows);
    this.known = known;
  }

  /** Samples of a signal, or null where no row reports it. */
  series(signal: SignalName): Series | null {
    let series = this.#series.get(signal);
    if (series === undefined) {
      series = this.#build(signal);
      this.#series.set(signal, series);
    }
    return series;
  }

  /** The sample that stands at an instant, or null where none does. */
  at(signal: SignalName, timeMs: number): Sample | null {
    const series = this.series(signal);
    if (series === null) return null;
    const i = firstAfter(series, timeMs) - 1;
    if (i < 0) return null;
    const sample = series.samples[i];
    const inHole = i === series.samples.length - 1 || series.links[i] === 'hole';
    return inHole && timeMs - sample.timeMs > series.standsMs ? null : sample;
  }

  /** True, false, or null where it is not known. */
  flag(signal: SignalName, timeMs: number): boolean | null {
    const sample = this.at(signal, timeMs);
    return sample === null ? null : sample.value === 1;
  }

  #build(signal: SignalName): Series | null {
    const reports = this.rows.filter((row) => row[signal] !== undefined);
    if (reports.length === 0) return null;
    const { mode } = this.known;
    const stated = typeof mode === 'string' ? mode : mode?.[signal];
    return (stated ?? modeOf(signal, this.rows, reports)) === 'periodic'
      ? periodic(signal, reports)
      : this.#changeOnly(signal, reports);
  }

  #changeOnly(signal: SignalName, reports: readonly Row[]): Series {
    const threshold = this.known.silentBelow?.[signal] ?? smallestChange(signal, reports);
    const gaps = this.rows.slice(1).map((row, i) => row.timeMs - this.rows[i].timeMs);
    const look = Math.max(lookMs, quantile(gaps, 0.1));
    const samples: Sample[] = [];
    let last: number | null = null;
    for (const row of this.rows) {
      const value = row[signal];
      const before = samples.at(-1);
      if (value === undefined) {
        if (last !== null) samples.push({ timeMs: row.timeMs, value: last, slack: threshold });
        continue;
      }
      // Until one look before the report it was still within the threshold, unless the vehicle was silent for too long.
      const looked = row.timeMs - look;
      if (last !== null && before && looked > before.timeMs && row.timeMs - before.timeMs <= changeOnlySilenceMs)
        samples.push({ timeMs: looked, value: last, slack: threshold });
      samples.push({ timeMs: row.timeMs, value, slack: 0 });
      last = value;
    }
    const links = samples
      .slice(1)
      .map((s, i): Link => (s.timeMs - samples[i].timeMs <= changeOnlySilenceMs ? 'shown' : 'hole'));
    return { mode: 'change-only', samples, links, standsMs: changeOnlySilenceMs };
  }
}

/** Index of the first sample after an instant. */
export function firstAfter(series: Series, timeMs: number): number {
  let low = 0;
  let high = series.samples.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (series.samples[middle].timeMs <= timeMs) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Samples from one instant to another, both included. */
export function samplesIn(series: Series | null, fromMs: number, toMs: number): readonly Sample[] {
  if (series === null) return [];
  return series.samples.slice(firstAfter(series, fromMs - 1e-6), firstAfter(series, toMs));
}

function periodic(signal: SignalName, reports: readonly Row[]): Series {
  const samples = reports.map((row): Sample => ({ timeMs: row.timeMs, value: row[signal]!, slack: 0 }));
  const gaps = samples.slice(1).map((s, i) => s.timeMs - samples[i].timeMs);
  const standsMs = Math.max(leastStandMs, 3 * quantile(gaps, 0.5));
  const links = gaps.map((gap): Link => (gap <= shownGapMs ? 'shown' : gap <= standsMs ? 'agreed' : 'hole'));
  return { mode: 'periodic', samples, links, standsMs };
}

/**
 * A change-only signal is missing from many rows, comes at irregular intervals, and hardly ever repeats its own value;
 * one reported only once in many rows is one that did not change.
 */
function modeOf(signal: SignalName, rows: readonly Row[], reports: readonly Row[]): SourceMode {
  const since = rows.filter((row) => row.timeMs >= reports[0].timeMs).length;
  if (reports.length / since >= 0.7) return 'periodic';
  if (reports.length < 4) return 'change-only';
  const repeats = reports.slice(1).filter((row, i) => row[signal] === reports[i][signal]).length;
  const gaps = reports.slice(1).map((row, i) => row.timeMs - reports[i].timeMs);
  const irregular = quantile(gaps, 0.9) > 2 * quantile(gaps, 0.5);
  return irregular && repeats / reports.length < 0.1 ? 'change-only' : 'periodic';
}

/** A source has never sent less than its threshold, except a return to 0, which many send at once. */
function smallestChange(signal: SignalName, reports: readonly Row[]): number {
  let least = Number.POSITIVE_INFINITY;
  reports.forEach((row, i) => {
    if (i === 0 || row[signal] === 0) return;
    const change = Math.abs(row[signal]! - reports[i - 1][signal]!);
    if (change > 0) least = Math.min(least, change);
  });
  return Number.isFinite(least) ? least : 0;
}

/** Value below which so large a share of the numbers lies; 0 for none. */
export function quantile(numbers: readonly number[], share: number): number {
  if (numbers.length === 0) return 0;
  const sorted = [...numbers].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}
