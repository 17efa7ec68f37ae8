/** Times of day to the second, as a stopwatch shows them; the zone is named once beside them. */

/** `06:14:05`, or `06:14:05.3` where it is no whole second; `zone` null = UTC. */
export function clockTime(timeMs: number, zone: string | null): string {
  const rounded = Math.round(timeMs / 100) * 100;
  const whole = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone ?? 'UTC',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
    hourCycle: 'h23',
  }).format(rounded);
  const tenths = Math.floor(rounded / 100) % 10;
  return tenths === 0 ? whole : `${whole}.${tenths}`;
}
