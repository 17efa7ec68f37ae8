/** Where and about whom an anomaly is, in words. */
import { concernWords, urgencyTags, zoneTime } from '@gearhold/look';
import type { Concern, Urgency } from '@gearhold/policy';
import type { Anomaly, JudgedCheck, Site } from '../server/messages.ts';
import { stateWords } from './names.ts';

type Sites = ReadonlyMap<string, Site>;

/** The name of a place, its id where it has none, and what is said where no site is known. */
export function siteName(siteId: string | null, sites: Sites): string {
  if (siteId === null) return 'at no known site';
  return sites.get(siteId)?.name ?? siteId;
}

/** The zone of a place; UTC where it has none. */
export function zoneOf(siteId: string | null, sites: Sites): string {
  return (siteId === null ? undefined : sites.get(siteId)?.zone) ?? 'UTC';
}

export function siteTime(iso: string, siteId: string | null, sites: Sites) {
  return zoneTime(iso, zoneOf(siteId, sites));
}

export function urgencyTag({ urgency }: Pick<JudgedCheck, 'urgency'>): string {
  return urgencyTags[urgency as Urgency] ?? urgency;
}

/** `Truck T-104 · for the driver: D-31 · coupling, 98 % sure · confirmed by Ada` */
export function whoLine(anomaly: Anomaly, driverNames: boolean): string {
  const driver = driverNames ? anomaly.driverId : undefined;
  const { lastReview, state } = anomaly;
  const decided = state === 'open' ? [] : [`${stateWords[state]}${lastReview ? `, ${lastReview.by.name}` : ''}`];
  return [
    `Truck ${anomaly.vehicleId}`,
    concernWords(anomaly.concern as Concern, driver, 'reported'),
    `${anomaly.kind}, ${Math.round(anomaly.confidence * 100)}\u00a0%\u00a0sure`,
    ...decided,
    ...(anomaly.changedSinceReview ? ['what was judged has changed since'] : []),
    ...(anomaly.arrivedLate ? ['arrived late'] : []),
    ...(anomaly.withdrawn ? ['taken back by later readings'] : []),
  ].join(' · ');
}
