/** Anomalies in words, for one recipient: units, time zone, and how drivers are named are theirs. */
import {
  boundUnits,
  capital,
  checkBar,
  checkSentence,
  concernWords,
  episodeWords,
  printable,
  urgencyTags,
  zoneTime,
} from '@gearhold/look';
import type { Site, WireCheck, WireEpisode } from '@gearhold/policy';
import type { Recipient } from '@gearhold/schemas';
import type { ContentOptions, DigestEntry, DigestLine } from './content.ts';
import type { DayFacts, EarlierFact, EpisodeFact } from './facts.ts';

export class EntryWriter {
  /** `Monday 2 March 2026` */
  readonly day: string;
  /** `Mon 2 Mar 2026` */
  readonly shortDay: string;
  readonly #facts: DayFacts;
  readonly #recipient: Recipient;
  readonly #options: ContentOptions;
  readonly #sites: ReadonlyMap<string, Site>;

  constructor(facts: DayFacts, recipient: Recipient, options: ContentOptions) {
    this.#facts = facts;
    this.#recipient = recipient;
    this.#options = options;
    this.#sites = new Map(facts.sites.map((site) => [site.siteId, site]));
    this.day = dayWords(facts.window.day, 'long');
    this.shortDay = dayWords(facts.window.day, 'short');
  }

  entry(
    fact: EpisodeFact,
    check: WireCheck,
    { late, earlier = false }: { late: boolean; earlier?: boolean },
  ): DigestEntry {
    const { wire } = fact;
    const alarms = !late && !earlier;
    const tag = alarms ? urgencyTags[check.urgency] : '';
    return {
      when: zoneTime(wire.loadTransferTime, this.#zone(wire)),
      otherDay: earlier,
      place: this.#place(wire),
      tags: [...(tag === '' ? [] : [tag]), ...(late ? ['arrived late'] : [])],
      urgent: alarms && check.urgency === 'urgent',
      sentence: boundUnits(checkSentence(check, this.#recipient.units)),
      bar: checkBar(check, this.#recipient.units),
      about: [
        `truck ${printable(wire.vehicleId, 64)}`,
        episodeWords(wire),
        concernWords(check.concern, this.#driver(wire), wire.driverBasis),
        check.check,
      ],
      link: this.#link(wire, check),
    };
  }

  takenBack({ wire, check }: EarlierFact): DigestLine {
    const { date, time } = zoneTime(wire.loadTransferTime, this.#zone(wire));
    const place = this.#place(wire);
    return {
      head: `${check.check}, truck ${printable(wire.vehicleId, 64)}`,
      text: `${capital(wire.kind)} on ${date}, ${time}${place === null ? '' : `, ${place}`}.`,
    };
  }

  #zone({ siteId }: WireEpisode): string {
    const site = siteId === null ? undefined : this.#sites.get(siteId);
    return site?.zone ?? this.#recipient.zone ?? this.#facts.window.zone;
  }

  #place({ siteId }: WireEpisode): string | null {
    return siteId === null ? null : printable(this.#sites.get(siteId)?.name ?? siteId, 60);
  }

  /** As {@link concernWords} takes it. */
  #driver({ driverId }: WireEpisode): string | null | undefined {
    const { drivers } = this.#recipient;
    if (drivers === 'none') return undefined;
    if (driverId === null) return null;
    const name = drivers === 'names' ? this.#facts.driverNames.get(driverId) : undefined;
    return printable(name ?? driverId, 64);
  }

  #link({ episodeId }: WireEpisode, { check }: WireCheck): string | null {
    const { consoleUrl } = this.#options;
    if (consoleUrl === null) return null;
    return `${consoleUrl.replace(/\/+$/, '')}/anomalies/${encodeURIComponent(episodeId)}/${encodeURIComponent(check)}`;
  }
}

/** A day of the calendar in words, whatever the zone of the machine. */
function dayWords(day: string, length: 'long' | 'short'): string {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone: 'UTC',
    weekday: length,
    day: 'numeric',
    month: length,
    year: 'numeric',
  });
  return format.format(Date.parse(`${day}T00:00:00Z`)).replaceAll(',', '');
}
