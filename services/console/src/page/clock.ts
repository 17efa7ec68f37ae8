/** Instants within an episode, to the second, in the zone of the place. */

const formats = new Map<string, Intl.DateTimeFormat>();

/** `05:42:31`; `ms` since the epoch. The zone is named where the clock first stands on a page. */
export function clockText(ms: number, zone: string): string {
  let format = formats.get(zone);
  if (format === undefined) {
    format = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
      hourCycle: 'h23',
    });
    formats.set(zone, format);
  }
  return format.format(ms);
}

/** `at 05:42:31`, or `between 05:42:29 and 05:42:33` where the bounds differ on the clock. */
export function betweenText(low: string, high: string, zone: string): string {
  const [from, to] = [clockText(Date.parse(low), zone), clockText(Date.parse(high), zone)];
  return from === to ? `at ${from}` : `between ${from} and ${to}`;
}
