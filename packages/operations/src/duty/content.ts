/** What a mail about one urgent anomaly says: whom to call first, then what, where and when, with its evidence. Pure. */
import { boundUnits, checkSentence, printable, zoneTime } from '@gearhold/look';
import type { Site, WireCheck, WireEpisode } from '@gearhold/policy';
import type { DayWindow } from '../day/window.ts';
import type { DigestContent } from '../digest/content.ts';
import { EntryWriter } from '../digest/entries.ts';
import type { DutyPlace } from './place.ts';

export interface UrgentFact {
  readonly wire: WireEpisode;
  readonly check: WireCheck;
  /** The fleet's day of the load transfer. */
  readonly window: DayWindow;
  readonly sites: readonly Site[];
}

export function urgentContent(fact: UrgentFact, duty: DutyPlace): DigestContent {
  const { wire, check, window, sites } = fact;
  const recipient = {
    address: duty.address,
    terminals: 'all',
    concerns: 'all',
    drivers: 'ids',
    units: duty.units,
  } as const;
  const facts = { window, sites, episodes: [], arrivedLate: new Set<string>(), trucks: [], driverNames: new Map() };
  const writer = new EntryWriter(facts, recipient, { consoleUrl: duty.mail.consoleUrl });
  const entry = writer.entry({ wire, terminal: null, driverTerminal: null }, check, { late: false });
  const { date, time } = entry.when;
  const truck = `truck ${printable(wire.vehicleId, 64)}`;
  return {
    kind: 'urgent',
    subject: `gearhold urgent: ${truck}, ${check.check}, ${time}`,
    day: `Urgent: ${truck}`,
    lead: [
      `Somebody may be in danger now. Call: ${printable(duty.call, 500)}`,
      boundUnits(checkSentence(check, duty.units)),
      `When: ${date}, ${time} (${zoneTime(wire.loadTransferTime).time}). Where: ${placeOf(entry.place, wire)}.`,
    ],
    sections: [{ title: 'The evidence', note: null, entries: [{ ...entry, otherDay: true, urgent: true }], lines: [] }],
    tally: { head: [], rows: [] },
    foot: `Sent once, and to ${duty.address} alone, because what the data prove cannot wait. It is not sent again if readings that come later change it: the console tells.`,
  };
}

/** The site, and where the truck was, as far as either is known. */
function placeOf(site: string | null, { position }: WireEpisode): string {
  const at = position === null ? null : `${position.latitude.toFixed(5)}, ${position.longitude.toFixed(5)}`;
  if (site === null) return at ?? 'not reported';
  return at === null ? site : `${site}, at ${at}`;
}
