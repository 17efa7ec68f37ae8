/**
 * What became of dispatch's records, as part of a page of the ledger: how many were found and how sure that share is, what
 * was recorded and not seen, what was seen and not recorded, and how far such a figure goes. Pure.
 */

import {
  bodyWidth,
  count,
  entry,
  figureText,
  lightRule,
  namesOf,
  printable,
  table,
  whole,
  wrap,
  zoneTime,
} from '@gearhold/look';
import type { Site } from '@gearhold/policy';
import type { WorkMatch } from '@gearhold/schemas';
import { type Frame, pageOf } from '../report/frame.ts';
import type { WorkMatched } from './match.ts';

type Result<T extends WorkMatch['result']> = Extract<WorkMatch, { result: T }>;
type Share = Result<'summary'>['all'];

/** Entries of one list on the page: more are for a program to read. */
const listed = 40;

export const workCaution =
  'A record of dispatch is what somebody wrote down: it may be planned, late, or of the wrong truck, and what nobody wrote down is not in it. So this share is the only recall that a fleet can measure by itself, and not how right the analysis is. A record that was not found accuses nobody, and two things within the window may be two different ones.';

export function workSection(work: WorkMatched, frame: Frame, sites: readonly Site[]): string[] {
  const places = new Places(sites);
  const { recordOnly, episodeOnly } = work;
  const covered = recordOnly.filter(({ reason }) => reason === 'not-seen' || reason === 'blind-truck');
  const noRecord = episodeOnly.filter(({ reason }) => reason === 'no-record');
  return [
    ...lead(work, frame),
    ...shares(work.summary, frame),
    ...list('Recorded, but not seen', covered, frame, (one) =>
      recordEntry(one, frame, places, work.summary.windowMinutes),
    ),
    ...list('Seen, but not recorded', noRecord, frame, (one) => episodeEntry(one, frame, places)),
    ...leftOut(work, frame),
  ];
}

function lead({ summary, matched }: WorkMatched, { width }: Frame): string[] {
  const { all, windowMinutes, medianSecondsLater } = summary;
  if (all.records === 0)
    return [
      ...wrap('No record of dispatch falls into the readings, so nothing can be said of what is found.', width),
      '',
    ];
  const sentences = [
    `Of ${count(all.records, 'record')} of dispatch that the readings cover, ${whole(all.found)} ${all.found === 1 ? 'was' : 'were'} found: ${interval(all)}.`,
  ];
  if (medianSecondsLater !== null)
    sentences.push(
      `${matched.length === 1 ? 'It' : 'The middle one of them'} lies ${apart(medianSecondsLater)} the load transfer.`,
    );
  const far = matched.filter(({ secondsLater }) => Math.abs(secondsLater) > windowMinutes * 30).length;
  if (far > 0) {
    const lie = far === 1 ? 'One lies' : `${whole(far)} lie`;
    sentences.push(`${lie} more than ${minutesText(windowMinutes / 2)} from it, and may be something else.`);
  }
  sentences.push(`Further apart than ${minutesText(windowMinutes)} nothing is matched.`);
  return [...wrap(sentences.join(' '), width), ''];
}

function minutesText(minutes: number): string {
  return `${figureText(minutes)}\u00a0min`;
}

function shares({ hooks, drops }: Result<'summary'>, frame: Frame): string[] {
  const rows = [
    ['Records', 'in the readings', 'found', 'not found', 'share (95 % interval)'],
    ...(
      [
        ['hooks', hooks],
        ['drops', drops],
      ] as const
    ).map(([name, share]) => [
      name,
      whole(share.records),
      whole(share.found),
      whole(share.records - share.found),
      interval(share).replace('95\u00a0% interval ', '').replaceAll('\u00a0', ' '),
    ]),
  ];
  const [first = '', ...rest] = table(rows);
  return [frame.paint.strong(first), lightRule(pageOf(frame)), ...rest, ''];
}

function interval({ share, low, high }: Share): string {
  const percent = (value: number) => `${(value * 100).toFixed(1)}\u00a0%`;
  if (share === null) return 'none recorded';
  return `${percent(share)} (95\u00a0% interval ${percent(low)} to ${percent(high)})`;
}

function list<T>(heading: string, items: readonly T[], frame: Frame, lines: (item: T) => string[]): string[] {
  if (items.length === 0) return [];
  const rule = lightRule(pageOf(frame));
  const shown = items.slice(0, listed).flatMap((item) => [...lines(item), rule]);
  const more = items.length - listed;
  return [
    frame.paint.strong(`${heading}: ${whole(items.length)}`),
    rule,
    ...shown,
    ...(more > 0 ? wrap(`${whole(more)} more: gearhold match --ndjson lists them all.`, frame.width) : []),
    '',
  ];
}

/** Times and names of places as people there have them; where no place is known, in the one zone that all sites share. */
class Places {
  readonly #sites: ReadonlyMap<string, Site>;
  readonly #usualZone: string | undefined;

  constructor(sites: readonly Site[]) {
    this.#sites = new Map(sites.map((site) => [site.siteId, site]));
    const zones = [...new Set(sites.map(({ zone }) => zone))];
    this.#usualZone = zones.length === 1 ? zones[0] : undefined;
  }

  margin(iso: string, siteId: string | null): string[] {
    const site = siteId === null ? undefined : this.#sites.get(siteId);
    const { date, time } = zoneTime(iso, site?.zone ?? this.#usualZone);
    return [date, time, ...(siteId === null ? [] : [printable(site?.name ?? siteId, 40)])];
  }
}

function recordEntry(
  { record, reason, otherKindSecondsLater }: Result<'record-only'>,
  frame: Frame,
  places: Places,
  windowMinutes: number,
): string[] {
  const trailer = record.trailerId === undefined ? 'a trailer' : `trailer ${printable(record.trailerId, 64)}`;
  const type = record.trailerType === undefined ? '' : ` (${printable(record.trailerType, 64)})`;
  const kind = record.action === 'hook' ? 'coupling' : 'uncoupling';
  const why =
    reason === 'blind-truck'
      ? 'no signal of this truck shows its load, so nothing can be seen on it.'
      : `no ${kind} was seen within ${minutesText(windowMinutes)} of it, or only one that another record fits better.`;
  const other =
    otherKindSecondsLater === null
      ? ''
      : ` The record lies ${apart(otherKindSecondsLater)} ${record.action === 'hook' ? 'an uncoupling' : 'a coupling'} that was seen.`;
  const said = `Truck ${printable(record.vehicleId, 64)}, ${record.action} of ${trailer}${type}: ${why}${other}`;
  const about = [
    `line ${record.line} of the work file`,
    ...(record.driverId === undefined ? [] : [`driver ${printable(record.driverId, 64)}`]),
  ];
  return entry(pageOf(frame), places.margin(record.time, record.siteId ?? null), lines(said, about, frame));
}

function episodeEntry({ episode }: Result<'episode-only'>, frame: Frame, places: Places): string[] {
  const said = `Truck ${printable(episode.vehicleId, 64)}, ${episode.kind}: nobody recorded it.`;
  const about = [
    ...(episode.trailerLoad === 'unknown' ? [] : [`trailer ${episode.trailerLoad}`]),
    `${Math.round(episode.confidence * 100)}\u00a0%\u00a0sure`,
    ...(episode.driverId === null ? [] : [`driver ${printable(episode.driverId, 64)}`]),
  ];
  return entry(pageOf(frame), places.margin(episode.loadTransferTime, episode.siteId), lines(said, about, frame));
}

function lines(said: string, about: readonly string[], frame: Frame): string[] {
  const width = bodyWidth(pageOf(frame));
  return [...wrap(said, width), ...wrap(about.join(frame.ascii ? '\u00a0- ' : '\u00a0· '), width)];
}

/** What stands on neither list, counted: the other side does not reach that far. */
function leftOut({ recordOnly, episodeOnly }: WorkMatched, { width }: Frame): string[] {
  const of = <T extends { reason: string }>(items: readonly T[], reason: T['reason']) =>
    items.filter((item) => item.reason === reason);
  const sentences: string[] = [];
  const noReadings = of(recordOnly, 'no-readings');
  if (noReadings.length > 0) {
    const trucks = [...new Set(noReadings.map(({ record }) => record.vehicleId))].sort();
    sentences.push(`${count(noReadings.length, 'record')} of trucks that sent no readings: ${namesOf(trucks, 6)}.`);
  }
  const before = of(recordOnly, 'outside-readings');
  if (before.length > 0)
    sentences.push(`${count(before.length, 'record')} from before the first reading of the truck, or after its last.`);
  const strangers = of(episodeOnly, 'vehicle-not-in-work');
  if (strangers.length > 0) {
    const trucks = [...new Set(strangers.map(({ episode }) => episode.vehicleId))].sort();
    sentences.push(
      `${count(strangers.length, 'episode')} of trucks that the work file does not name: ${namesOf(trucks, 6)}.`,
    );
  }
  const outside = of(episodeOnly, 'outside-work');
  if (outside.length > 0)
    sentences.push(
      `${count(outside.length, 'episode')} from before the first record of the work file, or after its last.`,
    );
  return sentences.length === 0 ? [] : [...wrap(`Left out of the shares: ${sentences.join(' ')}`, width), ''];
}

/** `4 min after`, `1 h 5 min before`: where a record lies. */
function apart(secondsLater: number): string {
  const minutes = Math.round(Math.abs(secondsLater) / 60);
  if (minutes === 0) return 'within a minute of';
  const hours = Math.floor(minutes / 60);
  const text = `${hours > 0 ? `${hours}\u00a0h ` : ''}${minutes % 60}\u00a0min`;
  return `${text} ${secondsLater > 0 ? 'after' : 'before'}`;
}
