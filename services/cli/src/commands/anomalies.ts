/** `gearhold anomalies`: what the store holds of judged checks, by the analyst's filters; those that were missed unless asked otherwise. */

import { asciiInk, checkSentence, count, inUnits, lightRule, type Units, unicodeInk, wrap } from '@gearhold/look';
import { dayWindow, isDay } from '@gearhold/operations/day';
import { withStore } from '@gearhold/operations/store-place';
import type { Concern, Outcome, Site, Urgency } from '@gearhold/policy';
import { type ExitStatus, exitStatus } from '@gearhold/shared';
import { allChecks, type CheckFilter, type FoundCheck, readSites } from '@gearhold/store';
import { csvLine } from '../csv-line.ts';
import type { Io } from '../job.ts';
import { checkEntry, type EntryStyle } from '../report/check-entry.ts';
import { footLines, frameFor, headLines, pageOf } from '../report/frame.ts';
import { writeText } from '../text-output.ts';

export interface AnomaliesOptions {
  readonly store: string;
  /** A day, or an RFC 3339 time; checked already. */
  readonly since?: string;
  readonly until?: string;
  readonly zone: string;
  readonly driver?: readonly string[];
  readonly vehicle?: readonly string[];
  readonly site?: readonly string[];
  readonly terminal?: readonly string[];
  readonly check?: readonly string[];
  readonly outcome: readonly Outcome[];
  readonly concern?: readonly Concern[];
  readonly urgency?: readonly Urgency[];
  readonly format: 'table' | 'csv' | 'ndjson';
  readonly units: Units;
  readonly ascii: boolean;
}

/** Rows asked of the store at once. */
const pageRows = 500;

export async function anomaliesCommand(options: AnomaliesOptions, io: Io): Promise<ExitStatus> {
  const place = { databaseUrl: process.env.DATABASE_URL, folder: options.store };
  await withStore(place, Date.now(), async (engine) => {
    const found = allChecks(engine, filterOf(options), { order: 'newest-first', limit: pageRows });
    if (options.format === 'table') {
      const sites = new Map((await readSites(engine)).map((site) => [site.siteId, site]));
      await writeText(
        io.stdout,
        endLines(await tableLines(found, sites, (await engine.describe()).place, options, io)),
      );
      return;
    }
    const { format, units } = options;
    if (format === 'csv') io.stdout.write(csvLine(Object.keys(csvColumns)));
    for await (const check of found)
      await writeText(io.stdout, [format === 'csv' ? csvRow(check, units) : `${JSON.stringify(wireOf(check))}\n`]);
  });
  return exitStatus.done;
}

/** Where a day is given it counts whole, from its first instant in the zone to its last. */
function filterOf(options: AnomaliesOptions): CheckFilter {
  const { since, until, zone } = options;
  return {
    sinceMs: since === undefined ? undefined : isDay(since) ? dayWindow(since, zone).startMs : Date.parse(since),
    untilMs: until === undefined ? undefined : isDay(until) ? dayWindow(until, zone).endMs : Date.parse(until),
    drivers: options.driver,
    vehicles: options.vehicle,
    sites: options.site,
    terminals: options.terminal,
    checks: options.check,
    outcomes: options.outcome,
    concerns: options.concern,
    urgencies: options.urgency,
  };
}

async function tableLines(
  found: AsyncIterable<FoundCheck>,
  sites: ReadonlyMap<string, Site>,
  place: string,
  { ascii, units, outcome }: AnomaliesOptions,
  io: Io,
): Promise<string[]> {
  const frame = frameFor(io.stdout, ascii, [place]);
  const page = pageOf(frame);
  const style: EntryStyle = { page, ink: ascii ? asciiInk : unicodeInk, ascii, paint: frame.paint, units };
  const entries: string[] = [];
  let number = 0;
  for await (const { check, episode } of found) {
    number += 1;
    const site = episode.siteId === null ? undefined : sites.get(episode.siteId);
    entries.push(...checkEntry(check, episode, site, style), lightRule(page));
  }
  const onlyMissed = outcome.length === 1 && outcome[0] === 'missed';
  const lead =
    number === 0
      ? 'Nothing in the store fits. Anomalies stand here once readings are in it (gearhold ingest FILE) and a night has been run over them (gearhold nightly --day DAY --zone ZONE).'
      : `${count(number, onlyMissed ? 'anomaly' : 'check', onlyMissed ? 'anomalies' : 'checks')}, the latest first.`;
  return [
    ...headLines('gearhold', frame),
    ...wrap(lead, frame.width),
    lightRule(page),
    ...entries,
    ...footLines(frame),
  ];
}

function endLines(lines: readonly string[]): string[] {
  return lines.map((line) => `${line}\n`);
}

/** One check with its episode, in the contract's names. */
function wireOf({ check, episode, terminal, driverTerminal, anomaly }: FoundCheck): Record<string, unknown> {
  const known = anomaly && {
    anomalyId: anomaly.anomalyId,
    arrivedLate: anomaly.arrivedLate,
    firstSeenTime: new Date(anomaly.firstSeenMs).toISOString(),
  };
  return { ...known, ...episode, terminal, driverTerminal, ...check };
}

type Cell = string | number | null;

const csvColumns: Readonly<Record<string, (found: FoundCheck, units: Units) => Cell>> = {
  loadTransferTime: ({ episode }) => episode.loadTransferTime,
  anomalyId: ({ anomaly }) => anomaly?.anomalyId ?? null,
  episodeId: ({ episodeId }) => episodeId,
  kind: ({ kind }) => kind,
  vehicleId: ({ vehicleId }) => vehicleId,
  driverId: ({ driverId }) => driverId,
  driverBasis: ({ driverBasis }) => driverBasis,
  siteId: ({ siteId }) => siteId,
  terminal: ({ terminal }) => terminal,
  check: ({ check }) => check.check,
  outcome: ({ check }) => check.outcome,
  concern: ({ check }) => check.concern,
  urgency: ({ check }) => check.urgency,
  value: figure('value'),
  low: figure('low'),
  high: figure('high'),
  unit: ({ check: { measured } }, units) => measured && inUnits(0, measured.unit, units).unit,
  confidence: ({ episode }) => episode.confidence,
  arrivedLate: ({ anomaly }) => anomaly && String(anomaly.arrivedLate),
  reason: ({ check }, units) => checkSentence(check, units),
};

function figure(name: 'value' | 'low' | 'high'): (found: FoundCheck, units: Units) => Cell {
  return ({ check: { measured } }, units) => {
    const value = measured?.[name] ?? null;
    return value === null ? null : inUnits(value, measured!.unit, units).value;
  };
}

function csvRow(found: FoundCheck, units: Units): string {
  return csvLine(Object.values(csvColumns).map((cell) => cell(found, units)));
}
