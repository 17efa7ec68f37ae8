/**
 * The report as a page of the ledger: what was found, what to look at with its evidence, what could not be judged and why,
 * the tally, and what a reader has to keep in mind. Pure: findings in, lines out.
 */
import {
  type Anomaly,
  asciiInk,
  bodyWidth,
  capital,
  count,
  entry,
  type Findings,
  kindsSeen,
  lightRule,
  namesOf,
  numberWord,
  type Page,
  printable,
  table,
  type Units,
  type Unjudged,
  unicodeInk,
  unjudgedReason,
  wrap,
  zoneTime,
} from '@gearhold/look';
import type { Site } from '@gearhold/policy';
import { aboutLines, barLines, checkEntry, type EntryStyle } from './check-entry.ts';
import { type Frame, footLines, headLines, pageOf } from './frame.ts';

export interface PageOptions extends Frame {
  readonly units: Units;
  readonly sites: readonly Site[];
  /** Names of the checks in the policy's order. */
  readonly checks: readonly string[];
  /** Vehicles that sent readings. */
  readonly vehicles: number;
  /** Vehicles that the vehicles file states to run on steel springs. */
  readonly onSteel: readonly string[];
  /** What became of the records of dispatch, as lines; none where no work file was given. */
  readonly work: readonly string[];
}

export function reportPage(findings: Findings, options: PageOptions): string[] {
  return new ReportPage(findings, options).lines();
}

class ReportPage {
  readonly #findings: Findings;
  readonly #options: PageOptions;
  readonly #page: Page;
  readonly #style: EntryStyle;
  readonly #sites: ReadonlyMap<string, Site>;

  constructor(findings: Findings, options: PageOptions) {
    this.#findings = findings;
    this.#options = options;
    this.#page = pageOf(options);
    const { ascii, paint, units } = options;
    this.#style = { page: this.#page, ink: ascii ? asciiInk : unicodeInk, ascii, paint, units };
    this.#sites = new Map(options.sites.map((site) => [site.siteId, site]));
  }

  lines(): string[] {
    if (this.#findings.kinds.size === 0) return [...this.#head(), ...this.#nothing(), ...this.#work(), ...this.#foot()];
    return [
      ...this.#head(),
      ...this.#lead(),
      ...this.#toLookAt(),
      ...this.#notJudged(),
      ...this.#tally(),
      ...this.#work(),
      ...this.#foot(),
    ];
  }

  #head(): string[] {
    return headLines('gearhold', this.#options);
  }

  #lead(): string[] {
    const { anomalies, kinds, vehicles, unjudged, period } = this.#findings;
    const silent = this.#options.vehicles - vehicles;
    const trucks = silent > 0 ? `${count(vehicles, 'truck')} of ${this.#options.vehicles}` : count(vehicles, 'truck');
    const times = unjudged.reduce((sum, group) => sum + group.times, 0);
    const sentences = [
      `${kindsSeen(kinds)} seen on ${trucks}, ${spanOf(period)}.`,
      ...(silent > 0 ? this.#blind() : []),
      anomalies.length === 0
        ? 'No step was proven missed.'
        : `${capital(numberWord(anomalies.length))} to look at: the data prove that a step was not taken as the policy asks.`,
      times === 0
        ? 'Every check could be judged.'
        : `${capital(numberWord(times))} could not be judged; the reasons follow.`,
    ];
    return [...wrap(sentences.join(' '), this.#options.width), ''];
  }

  #nothing(): string[] {
    const { vehicles, width } = this.#options;
    const what =
      vehicles === 0
        ? 'No readings could be used, so there is nothing to judge. A reading needs time and vehicleId; run gearhold report --help for the list of signals.'
        : `No coupling or uncoupling was seen in the readings of ${count(vehicles, 'truck')}. Each would stand here with what the data prove about it. To see one it takes speedKph, and suspensionKpa or axleLoadKg; gear and parkingBrake sharpen it. A file in somebody else's columns or units is read with --profile FILE.`;
    return [...wrap([what, ...this.#blind()].join(' '), width), ''];
  }

  /** Why nothing is to be expected of some trucks, whatever they do. */
  #blind(): string[] {
    const { onSteel } = this.#options;
    if (onSteel.length === 0) return [];
    const run = onSteel.length === 1 ? 'runs' : 'run';
    return [
      `By the vehicles file ${namesOf(onSteel, 8)} ${run} on steel springs, where pressure proves nothing: only axleLoadKg can show a trailer.`,
    ];
  }

  #toLookAt(): string[] {
    const { anomalies } = this.#findings;
    if (anomalies.length === 0) return [];
    const lines = [this.#options.paint.strong(`To look at: ${anomalies.length}`), lightRule(this.#page)];
    for (const anomaly of anomalies) lines.push(...this.#anomaly(anomaly), lightRule(this.#page));
    return [...lines, ''];
  }

  #anomaly({ check, episode }: Anomaly): string[] {
    const site = episode.siteId === null ? undefined : this.#sites.get(episode.siteId);
    return checkEntry(check, episode, site, this.#style);
  }

  #notJudged(): string[] {
    const { unjudged } = this.#findings;
    const times = unjudged.reduce((sum, group) => sum + group.times, 0);
    if (times === 0) return [];
    const lines = [this.#options.paint.strong(`Could not be judged: ${times}`), lightRule(this.#page)];
    for (const group of unjudged) lines.push(...this.#group(group), lightRule(this.#page));
    return [...lines, ''];
  }

  #group({ check, times, vehicleIds, example, alike }: Unjudged): string[] {
    const { units } = this.#options;
    const width = bodyWidth(this.#page);
    const reason = unjudgedReason(example.check, units);
    const said = wrap(alike ? reason : `For example, truck ${printable(example.vehicleId, 64)}: ${reason}`, width);
    const bar = barLines(example.check, this.#style);
    const trucks = `${vehicleIds.length === 1 ? 'Truck' : 'Trucks'} ${namesOf(vehicleIds, 8)}`;
    return entry(this.#page, [count(times, 'time')], [...said, ...bar, ...aboutLines([trucks, check], this.#style)]);
  }

  #tally(): string[] {
    const { tallies } = this.#findings;
    const rows = this.#options.checks.flatMap((check) => {
      const tally = tallies.get(check);
      if (tally === undefined) return [];
      return [[check, ...columns.map((outcome) => String(tally[outcome]))]];
    });
    if (rows.length === 0) return [];
    const { outline, solid, hatch } = this.#style.ink;
    const head = ['Checks', `${outline} met`, `${solid} missed`, `${hatch} not judged`, 'not asked'];
    const [first = '', ...rest] = table([head, ...rows]);
    return [this.#options.paint.strong(first), lightRule(this.#page), ...rest, ''];
  }

  #work(): string[] {
    const { work, paint } = this.#options;
    return work.length === 0 ? [] : [paint.strong('Records of dispatch'), lightRule(this.#page), ...work];
  }

  #foot(): string[] {
    return footLines(this.#options);
  }
}

/** Outcomes as columns of the tally. */
const columns = ['met', 'missed', 'undetermined', 'not-applicable'] as const;

/** `on 3 Mar 2026 (UTC)`, or from one day to another. */
function spanOf(period: Findings['period']): string {
  if (period === null) return '';
  const [first, last] = [zoneTime(period.first).date, zoneTime(period.last).date];
  return first === last ? `on ${first} (UTC)` : `from ${first} to ${last} (UTC)`;
}
