/** One judged check as an entry of the ledger: when and where in the margin, the sentence, the evidence bar, and what it is about. */
import {
  type Anomaly,
  bodyWidth,
  capital,
  checkBar,
  checkSentence,
  concernWords,
  drawEvidenceBar,
  entry,
  episodeWords,
  type Ink,
  type Page,
  printable,
  type Units,
  urgencyTags,
  wrap,
  zoneTime,
} from '@gearhold/look';
import type { Site, WireCheck } from '@gearhold/policy';
import type { Paint } from './paint.ts';

export interface EntryStyle {
  readonly page: Page;
  readonly ink: Ink;
  readonly ascii: boolean;
  readonly paint: Paint;
  readonly units: Units;
}

/** Bars are no wider than this: a long line is harder to read against its tick. */
const widestBar = 64;

/** `site` is where it happened; undefined where no site is known. */
export function checkEntry(
  check: WireCheck,
  episode: Anomaly['episode'],
  site: Site | undefined,
  style: EntryStyle,
): string[] {
  const { page, ink, paint, units } = style;
  const { date, time } = zoneTime(episode.loadTransferTime, site?.zone);
  const place = episode.siteId === null ? [] : [printable(site?.name ?? episode.siteId, 40)];
  const said = wrap(`${tagOf(check)}${checkSentence(check, units)}`, bodyWidth(page)).map(paint.strong);
  const solid = new RegExp(`${ink.solid}+`, 'g');
  const bar = barLines(check, style).map((line) => line.replace(solid, paint.missed));
  const about = [
    `Truck ${printable(episode.vehicleId, 64)}`,
    episodeWords(episode),
    concernWords(check.concern, episode.driverId && printable(episode.driverId, 64), episode.driverBasis),
    check.check,
  ];
  return entry(page, [date, time, ...place], [...said, ...bar, ...aboutLines(about, style)]);
}

/** Parts of a line about an entry; a separator stays with the part before it. */
export function aboutLines(parts: readonly string[], { ascii, page }: EntryStyle): string[] {
  const separator = ascii ? ' - ' : ' · ';
  return wrap(parts.join(separator.replace(' ', '\u00a0')), bodyWidth(page));
}

/** The evidence bar of a check; no lines where it has no limit to draw. */
export function barLines(check: WireCheck, { units, page, ink }: EntryStyle): string[] {
  const bar = checkBar(check, units);
  return bar === null ? [] : drawEvidenceBar(bar, Math.min(bodyWidth(page), widestBar), ink);
}

/** A tag before the sentence where it cannot wait. Only what is proven missed is urgent. */
function tagOf({ urgency, outcome }: WireCheck): string {
  const tag = outcome === 'missed' ? urgencyTags[urgency] : '';
  return tag === '' ? '' : `${urgency === 'urgent' ? tag.toUpperCase() : capital(tag)}. `;
}
