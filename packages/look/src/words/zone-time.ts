/** Instants as a person at the place reads them: in the site's zone, which is always named. */

export interface ZoneTime {
  /** `3 Mar 2026` */
  readonly date: string;
  /** `05:42 CST` */
  readonly time: string;
}

const formats = new Map<string, Intl.DateTimeFormat>();

/** `iso` is an RFC 3339 time; `zone` an IANA zone, UTC where the place has none. */
export function zoneTime(iso: string, zone = 'UTC'): ZoneTime {
  const parts = Object.fromEntries(
    formatOf(zone)
      .formatToParts(Date.parse(iso))
      .map(({ type, value }) => [type, value]),
  );
  return {
    date: `${parts.day} ${parts.month} ${parts.year}`,
    time: `${parts.hour}:${parts.minute} ${parts.timeZoneName}`,
  };
}

function formatOf(zone: string): Intl.DateTimeFormat {
  let format = formats.get(zone);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-US', {
      timeZone: zone,
      calendar: 'gregory',
      numberingSystem: 'latn',
      day: 'numeric',
      month: 'short',
      year: 'numeric',
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
      timeZoneName: 'short',
    });
    formats.set(zone, format);
  }
  return format;
}
