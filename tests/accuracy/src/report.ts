/**
 * The figures of one set, and the tables that print them.
 */
import { type Bin, brierScore, reliability, type Stated } from './calibration.ts';
import type { CheckTally, Finding, Tally } from './tally.ts';

export interface SetFigures {
  readonly set: string;
  readonly about: string;
  readonly seed: string;
  readonly trucks: number;
  readonly vehicleHours: number;
  readonly rows: number;
  readonly episodes: {
    readonly truth: number;
    readonly found: number;
    readonly matched: number;
    readonly precision: number | null;
    readonly recall: number | null;
    readonly f1: number | null;
    /** Without the episodes whose load came or went within a silence of 15 s or more: no row can place those. */
    readonly f1Seen: number | null;
    /** Found and not true, in 1,000 vehicle-hours. */
    readonly falsePerThousandHours: number;
  };
  readonly otherKinds: Readonly<Record<string, { truth: number; found: number; matched: number }>>;
  readonly transferErrorSeconds: { readonly median: number | null; readonly p95: number | null };
  readonly dump: { readonly right: number; readonly wrong: number; readonly unknown: number };
  readonly trailerLoad: { readonly right: number; readonly wrong: number; readonly unknown: number };
  readonly driverWrong: number;
  /** Missed verdicts on episodes that match no true one. */
  readonly missedOnSpurious: number;
  readonly checks: Readonly<Record<string, CheckTally>>;
  readonly brier: number | null;
  readonly reliability: readonly Bin[];
  readonly findings: readonly Finding[];
}

export function figures(set: string, about: string, seed: string, trucks: number, tally: Tally): SetFigures {
  const precision = tally.found === 0 ? null : tally.matched / tally.found;
  const recall = tally.truth === 0 ? null : tally.matched / tally.truth;
  const seenTruth = tally.truth - tally.silentTruth;
  const seenFound = tally.found - tally.silentFound;
  const seenMatched = tally.matched - tally.silentMatched;
  const f1Seen = seenTruth + seenFound === 0 ? null : (2 * seenMatched) / (seenTruth + seenFound);
  const f1 = tally.truth + tally.found === 0 ? null : (2 * tally.matched) / (tally.truth + tally.found);
  const errors = [...tally.errorsSeconds].sort((a, b) => a - b);
  const at = (share: number): number | null =>
    errors.length === 0 ? null : errors[Math.min(errors.length - 1, Math.floor(share * errors.length))]!;
  return {
    set,
    about,
    seed,
    trucks,
    vehicleHours: tally.hours,
    rows: tally.rows,
    episodes: {
      truth: tally.truth,
      found: tally.found,
      matched: tally.matched,
      precision,
      recall,
      f1,
      f1Seen,
      falsePerThousandHours: (1000 * (tally.found - tally.matched)) / tally.hours,
    },
    otherKinds: Object.fromEntries(tally.others),
    transferErrorSeconds: { median: at(0.5), p95: at(0.95) },
    dump: { right: tally.dumpRight, wrong: tally.dumpWrong, unknown: tally.dumpUnknown },
    trailerLoad: { right: tally.loadRight, wrong: tally.loadWrong, unknown: tally.loadUnknown },
    driverWrong: tally.driverWrong,
    missedOnSpurious: tally.missedOnSpurious,
    checks: Object.fromEntries(tally.checks),
    brier: brierScore(tally.stated),
    reliability: reliability(tally.stated),
    findings: tally.findings,
  };
}

const share = (value: number | null, digits = 3): string => (value === null ? '-' : value.toFixed(digits));
const percent = (part: number, whole: number): string =>
  whole === 0 ? '-' : `${((100 * part) / whole).toFixed(part === 0 ? 0 : 1)} %`;

/** A table that reads as plain text and as Markdown. */
function lines(table: readonly (readonly string[])[]): string {
  const widths = table[0]!.map((_, column) => Math.max(...table.map((row) => row[column]!.length)));
  const line = (row: readonly string[]): string =>
    `| ${row.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]!) : cell.padStart(widths[i]!))).join(' | ')} |`;
  const rule = `|${widths.map((w, i) => (i === 0 ? '-'.repeat(w + 2) : `${'-'.repeat(w + 1)}:`)).join('|')}|`;
  return `${[line(table[0]!), rule, ...table.slice(1).map(line)].join('\n')}\n`;
}

/** One line a set: episodes, transfer time, dump flag, load. */
export function episodeTable(all: readonly SetFigures[]): string {
  const head = [
    'set',
    'hours',
    'true',
    'found',
    'precision',
    'recall',
    'F1',
    'F1 seen',
    'error s (p95)',
    'dump wrong',
    'load wrong',
    'missed on none',
  ];
  const rows = all.map((f) => [
    f.set,
    f.vehicleHours.toFixed(0),
    String(f.episodes.truth),
    String(f.episodes.found),
    share(f.episodes.precision),
    share(f.episodes.recall),
    f.episodes.f1 === null || f.episodes.truth === 0
      ? `${f.episodes.falsePerThousandHours.toFixed(1)} false/1000 h`
      : share(f.episodes.f1),
    f.episodes.truth === 0 ? '-' : share(f.episodes.f1Seen),
    `${share(f.transferErrorSeconds.median, 1)} (${share(f.transferErrorSeconds.p95, 1)})`,
    `${f.dump.wrong} (${f.dump.unknown} open)`,
    `${f.trailerLoad.wrong} (${f.trailerLoad.unknown} open)`,
    String(f.missedOnSpurious),
  ]);
  return lines([head, ...rows]);
}

/** One line a set and check. */
export function checkTable(all: readonly Pick<SetFigures, 'set' | 'checks'>[]): string {
  const head = [
    'set / check',
    'judged',
    'right',
    'false missed',
    'false met',
    'undetermined',
    'though provable',
    'bounds hold',
  ];
  const rows: string[][] = [];
  for (const f of all) {
    for (const [name, c] of Object.entries(f.checks)) {
      rows.push([
        `${f.set} / ${name}`,
        String(c.judged),
        String(c.right),
        String(c.falseMissed),
        String(c.falseMet),
        percent(c.undetermined, c.judged),
        c.provable === 0 ? '-' : `${percent(c.provableUndetermined, c.provable)} of ${c.provable}`,
        percent(c.covered, c.covered + c.uncovered),
      ]);
    }
  }
  return rows.length === 0 ? '' : lines([head, ...rows]);
}

/**
 * One sentence a set and check of which anything was provable: how many verdicts the rows prove by the contract's rules, how
 * often a miss was said that is none, how many provable ones were left open.
 */
export function provableTable(all: readonly Pick<SetFigures, 'set' | 'checks'>[]): string {
  const text: string[] = [];
  for (const { set, checks } of all) {
    for (const [name, c] of Object.entries(checks)) {
      if (c.provable === 0) continue;
      text.push(
        `${set} / ${name}: provable verdicts: ${c.provable}, false missed: ${c.falseMissed}, ` +
          `undetermined though provable: ${c.provableUndetermined}\n`,
      );
    }
  }
  return text.join('');
}

/** Provable verdicts of a check from which on 'none was falsely missed' says something. */
const enoughProvable = 1000;

/** One line a check over everything measured: how many verdicts were provable, and what became of them. */
export function witnessTable(checks: Readonly<Record<string, CheckTally>>): string {
  const head = [
    'check',
    'provable',
    'of it missed',
    'false missed',
    'false met',
    'left open',
    'witness wrong',
    'enough',
  ];
  const rows = Object.entries(checks).map(([name, c]) => [
    name,
    String(c.provable),
    String(c.provableMissed),
    String(c.falseMissed),
    String(c.falseMet),
    c.provable === 0 ? '-' : percent(c.provableUndetermined, c.provable),
    String(c.enumeratorWrong),
    c.provable >= enoughProvable ? 'yes' : `no, below ${enoughProvable}`,
  ]);
  return rows.length === 0 ? '' : lines([head, ...rows]);
}

/** Stated confidence against what was true, over all sets. */
export function reliabilityTable(stated: readonly Stated[]): string {
  const head = ['confidence', 'episodes', 'mean stated', 'true'];
  const rows = reliability(stated).map((bin) => [
    `${bin.from} to ${bin.to}`,
    String(bin.count),
    share(bin.meanConfidence),
    share(bin.realShare),
  ]);
  return `${lines([head, ...rows])}Brier score ${share(brierScore(stated), 4)} over ${stated.length} episodes\n`;
}

/** Everything that a person should look at, worst first, at most so many lines a kind and set. */
export function findingList(all: readonly SetFigures[], most: number): string {
  const order: readonly Finding['what'][] = [
    'false-missed',
    'spurious',
    'uncovered',
    'false-met',
    'missing',
    'enumerator-wrong',
    'left-open',
  ];
  let text = '';
  for (const what of order) {
    for (const f of all) {
      const these = f.findings.filter((finding) => finding.what === what);
      for (const finding of these.slice(0, most)) {
        text += `${what}  ${f.set} ${f.seed}  ${finding.vehicleId} ${finding.time}  ${finding.check ?? ''} ${finding.detail}\n`;
      }
      if (these.length > most) text += `${what}  ${f.set} ${f.seed}  and ${these.length - most} more\n`;
    }
  }
  return text;
}
