/**
 * A field check as a page of the ledger: what may be concluded, false `missed` first, then what was not found, what nobody
 * saw, what lies outside its bounds, and the totals. Pure: comparison in, lines out.
 */
import {
  asciiPage,
  bodyWidth,
  cautions,
  count,
  entry,
  heavyRule,
  lightRule,
  type Page,
  printable,
  spread,
  table,
  unicodePage,
  wrap,
  zoneTime,
} from '@gearhold/look';
import type { Paint } from '../report/paint.ts';
import { clockTime } from './clock-time.ts';
import { wordsOf } from './columns.ts';
import type { Comparison, RowFound, RowNotFound, Tolerances, Unwatched } from './compare.ts';
import type { StepCompared } from './steps.ts';
import { type Conclusion, type FalseMissed, percent, shareWords, type Totals } from './totals.ts';
import type { Watched } from './watched.ts';

export interface CheckPageOptions {
  /** Columns of the page. */
  readonly width: number;
  readonly ascii: boolean;
  readonly paint: Paint;
  readonly sheet: string;
  readonly tolerances: Tolerances;
  /** Vehicles that the vehicles file states to run on steel springs. */
  readonly onSteel: readonly string[];
}

export interface CheckResult {
  readonly comparison: Comparison;
  readonly totals: Totals;
  readonly conclusion: Conclusion;
}

export function checkPage(result: CheckResult, options: CheckPageOptions): string[] {
  return new FieldPage(result, options).lines();
}

class FieldPage {
  readonly #result: CheckResult;
  readonly #options: CheckPageOptions;
  readonly #page: Page;

  constructor(result: CheckResult, options: CheckPageOptions) {
    this.#result = result;
    this.#options = options;
    const ink = options.ascii ? asciiPage : unicodePage;
    this.#page = { width: options.width, ink, soft: options.paint.soft };
  }

  lines(): string[] {
    const { comparison, conclusion } = this.#result;
    const steps = comparison.found.flatMap((row) => row.steps.map((step) => ({ row, step })));
    const falselyMet = steps.filter(({ step }) => step.result === 'false-met' || step.result === 'wrong');
    return [
      ...this.#head(),
      ...this.#section('Called missed, though seen done', conclusion.falseMissed, (one) => this.#step(one, true)),
      ...this.#section('Found, but nobody saw one', comparison.unwatched, (one) => this.#unwatched(one)),
      ...this.#section('Watched, but not found', comparison.notFound, (one) => this.#notFound(one)),
      ...this.#section('Said otherwise than seen', falselyMet, (one) => this.#step(one, false)),
      ...this.#section('Times outside the bounds', comparison.found.filter(hasOutside), (one) => this.#outside(one)),
      ...this.#section('No readings, nothing compared', comparison.noReadings, (row) => this.#noReadings(row)),
      ...this.#totals(),
      ...this.#foot(),
    ];
  }

  #head(): string[] {
    const { width, paint, sheet } = this.#options;
    const [first = '', second] = spread('gearhold field check', printable(sheet, 60), width);
    const words = wrap(this.#result.conclusion.sentences.join(' '), width).map(paint.strong);
    return [
      paint.strong(first),
      ...(second === undefined ? [] : wrap(second, width)),
      heavyRule(this.#page),
      ...words,
      '',
    ];
  }

  #section<T>(title: string, items: readonly T[], linesOf: (item: T) => string[]): string[] {
    if (items.length === 0) return [];
    const lines = [this.#options.paint.strong(`${title}: ${items.length}`), lightRule(this.#page)];
    for (const item of items) lines.push(...linesOf(item), lightRule(this.#page));
    return [...lines, ''];
  }

  #step({ row, step }: FalseMissed, accuses: boolean): string[] {
    const { paint } = this.#options;
    const said = this.#body(`Seen: ${step.seen}. The analysis says: ${step.said}`);
    return this.#entry(row.row, [...(accuses ? said.map(paint.missed) : said), ...this.#about(row.row, step.check)]);
  }

  #unwatched({ found, row, missed }: Unwatched): string[] {
    const { wire } = found;
    const sentence = `The analysis found ${an(wire.kind)} at ${this.#at(Date.parse(wire.loadTransferTime), row)}, of which the sheet says nothing.`;
    const accused = missed.map(({ check, reason }) => `Called missed there, ${check}: ${reason}`);
    return this.#entry(row, [
      ...this.#body(sentence),
      ...accused.flatMap((text) => this.#body(text)).map(this.#options.paint.missed),
      ...this.#about(row),
    ]);
  }

  #notFound({ row, nearest }: RowNotFound): string[] {
    const sentence =
      nearest === null
        ? `Nothing was found of this truck near the ${row.kind} that was watched.`
        : `The nearest that was found is ${an(nearest.found.wire.kind)} at ${this.#at(Date.parse(nearest.found.wire.loadTransferTime), row)}, ${secondsText(nearest.apartSeconds)} away.`;
    const steel = this.#options.onSteel.includes(row.vehicleId) ? ` ${onSteelWords}` : '';
    return this.#entry(row, [...this.#body(`${sentence}${steel}`), ...this.#about(row)]);
  }

  #outside(found: RowFound): string[] {
    const { row } = found;
    const lines = found.times.flatMap(({ milestone, watchedMs, bounds, outsideSeconds }) => {
      if (bounds === null || outsideSeconds === null || outsideSeconds === 0) return [];
      const far = `${secondsText(Math.abs(outsideSeconds))} ${outsideSeconds < 0 ? 'earlier' : 'later'}`;
      const between = `between ${this.#at(bounds.low, row)} and ${this.#at(bounds.high, row)}`;
      const said = wordsOf(milestone, row.kind).said;
      return this.#body(
        `Seen at ${this.#at(watchedMs, row)}: ${said}. By the analysis ${between}: ${far} than that and the stopwatch allow.`,
      );
    });
    return this.#entry(row, [...lines, ...this.#about(row)]);
  }

  #noReadings(row: Watched): string[] {
    const sentence = `No reading of this truck while it was watched: is the vehicleId the one of the readings, and the date and zone right?`;
    return this.#entry(row, [...this.#body(sentence), ...this.#about(row)]);
  }

  #totals(): string[] {
    const { comparison, totals } = this.#result;
    const { width, paint, tolerances } = this.#options;
    const { found, inside, falseMissed, watchAheadSeconds: ahead } = totals;
    const lines = [paint.strong('In figures, with 95 % intervals'), lightRule(this.#page)];
    const say = (text: string) => lines.push(...wrap(text, width));
    if (found !== null)
      say(`Found, within ${secondsText(tolerances.windowSeconds)} of the watched time: ${shareWords(found)}.`);
    say(`Found, but nobody saw one: ${comparison.unwatched.length}.`);
    if (comparison.quiet > 0) say(`Watched without a coupling or uncoupling: ${count(comparison.quiet, 'row')}.`);
    if (falseMissed !== null) say(`Called missed, of the steps that were seen done: ${shareWords(falseMissed)}.`);
    const unseen = missedUnseen(comparison.found);
    if (unseen > 0) say(`Called missed, of steps that the sheet says nothing of: ${unseen}.`);
    if (inside !== null) {
      say(
        `Stopwatch times within the bounds, give or take ${secondsText(tolerances.stopwatchSeconds)}: ${shareWords(inside)}.`,
      );
    }
    if (ahead !== null && Math.abs(ahead) > tolerances.stopwatchSeconds) {
      say(
        `The stopwatch seems to be about ${secondsText(Math.abs(ahead))} ${ahead > 0 ? 'ahead of' : 'behind'} the trucks' clocks: set it by the network, and times will lie closer.`,
      );
    }
    return [...lines, '', ...this.#stepTable(), ...this.#timeTable()];
  }

  #stepTable(): string[] {
    const { steps } = this.#result.totals;
    if (steps.length === 0) return [];
    const rows = steps.map(({ check, times, falseMissed }) => [
      check,
      ...[
        times.right,
        times.undetermined,
        times['false-missed'],
        times['false-met'] + times.wrong,
        times.open + times['not-asked'],
      ].map(String),
      falseMissed === null ? '' : percent(falseMissed.high).replace('\u00a0', ' '),
    ]);
    const head = ['Steps', 'right', 'not judged', 'false missed', 'otherwise', 'open', 'at most'];
    const [first = '', ...rest] = table([head, ...rows]);
    const note =
      'Open: too near the limit for a stopwatch, or not asked. At most: the upper end of the interval for false missed, of the steps that were seen done.';
    return [this.#options.paint.strong(first), lightRule(this.#page), ...rest, ...wrap(note, this.#options.width), ''];
  }

  #timeTable(): string[] {
    const { times } = this.#result.totals;
    if (times.length === 0) return [];
    const rows = times.map(({ milestone, inside, outside, notPlaced }) => [
      milestone,
      ...[inside, outside, notPlaced].map(String),
    ]);
    const [first = '', ...rest] = table([['Times', 'within the bounds', 'outside', 'not placed'], ...rows]);
    return [this.#options.paint.strong(first), lightRule(this.#page), ...rest, ''];
  }

  #foot(): string[] {
    return [heavyRule(this.#page), ...wrap(cautions, this.#options.width)];
  }

  #body(text: string): string[] {
    return wrap(text, bodyWidth(this.#page));
  }

  #entry(row: Watched, body: readonly string[]): string[] {
    const { date, time } = zoneTime(new Date(row.fromMs).toISOString(), row.zone ?? 'UTC');
    const place = row.yard === '' ? [] : [printable(row.yard, 40)];
    return entry(this.#page, [date, time, ...place], body);
  }

  #about(row: Watched, check?: StepCompared['check']): string[] {
    const parts = [
      `Truck ${printable(row.vehicleId, 64)}`,
      ...(row.kind === 'none' ? ['watched without one'] : [row.kind]),
      ...(check === undefined ? [] : [check]),
      `line ${row.line} of the sheet`,
      ...(row.watcher === '' ? [] : [`watched by ${printable(row.watcher, 40)}`]),
    ];
    const separator = this.#options.ascii ? '\u00a0- ' : '\u00a0· ';
    return [
      ...this.#body(parts.join(separator)),
      ...(row.remarks === '' ? [] : this.#body(`Remarks: ${printable(row.remarks, 400)}`)),
    ];
  }

  #at(timeMs: number, { zone }: Watched): string {
    return clockTime(timeMs, zone);
  }
}

const onSteelWords =
  'By the vehicles file it runs on steel springs, where pressure proves nothing: only axleLoadKg can show a trailer.';

function hasOutside({ times }: RowFound): boolean {
  return times.some(({ outsideSeconds }) => outsideSeconds !== null && outsideSeconds !== 0);
}

/** Missed verdicts on what was found, of steps that nobody wrote down: the sheet neither bears them out nor refutes them. */
function missedUnseen(found: readonly RowFound[]): number {
  const unseen = found.flatMap(({ found: { wire }, steps }) =>
    wire.checks.filter(({ check, outcome }) => outcome === 'missed' && !steps.some((step) => step.check === check)),
  );
  return unseen.length;
}

function an(kind: string): string {
  return `${/^[aeiou]/.test(kind) ? 'an' : 'a'} ${kind}`;
}

function secondsText(seconds: number): string {
  return `${Number(seconds.toFixed(1))}\u00a0s`;
}
