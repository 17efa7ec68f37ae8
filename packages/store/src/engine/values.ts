/**
 * How values pass between the database and us, the same for every engine. Instants keep their microseconds: a double holds
 * them exactly enough (about 0.24 microseconds at today's dates) to come back as the same microsecond.
 */

/** Type numbers of PostgreSQL's catalogue (pg_type.dat), which never change. */
const typeOid = {
  bytea: 17,
  int8: 20,
  json: 114,
  date: 1082,
  timestamptz: 1184,
  numeric: 1700,
  jsonb: 3802,
} as const;

/** An instant as a parameter: RFC 3339 with microseconds. Infinities are PostgreSQL's. */
export function instant(timeMs: number): string {
  if (timeMs === Number.POSITIVE_INFINITY) return 'infinity';
  if (timeMs === Number.NEGATIVE_INFINITY) return '-infinity';
  const micros = Math.round(timeMs * 1000);
  const ms = Math.floor(micros / 1000);
  const rest = String(micros - ms * 1000).padStart(3, '0');
  return `${new Date(ms).toISOString().slice(0, -1)}${rest}Z`;
}

/** An instant as a parameter, or null where there is none. */
export function instantOrNull(timeMs: number | null): string | null {
  return timeMs === null ? null : instant(timeMs);
}

/** `2026-03-02 06:14:05.123456+00` (ISO date style, UTC) as ms since the epoch. */
function parseInstant(text: string): number {
  if (text === 'infinity') return Number.POSITIVE_INFINITY;
  if (text === '-infinity') return Number.NEGATIVE_INFINITY;
  const match = /^(\d{4,6})-(\d\d)-(\d\d) (\d\d):(\d\d):(\d\d)(?:\.(\d{1,6}))?\+00$/.exec(text);
  if (match === null) throw new RangeError(`store: '${text}' is not an instant in UTC`);
  const [, year, month, day, hour, minute, second, fraction = ''] = match;
  const seconds = Date.UTC(Number(year), Number(month) - 1, Number(day), Number(hour), Number(minute), Number(second));
  return seconds + Number(fraction.padEnd(6, '0')) / 1000;
}

/** A whole number; throws RangeError where a double cannot hold it. */
function parseWhole(text: string): number {
  const value = Number(text);
  if (!Number.isSafeInteger(value)) throw new RangeError(`store: ${text} is too large a whole number`);
  return value;
}

/** The text form of bytea, `\x` and hexadecimal digits. */
function parseBytes(text: string): Uint8Array {
  return new Uint8Array(Buffer.from(text.slice(2), 'hex'));
}

const asText = (text: string): string => text;

/** How each type's text is read; other types keep the driver's own reading, which is the same in both. */
export const parsers: Readonly<Record<number, (text: string) => unknown>> = {
  [typeOid.bytea]: parseBytes,
  [typeOid.int8]: parseWhole,
  [typeOid.json]: asText,
  [typeOid.jsonb]: asText,
  [typeOid.date]: asText,
  [typeOid.timestamptz]: parseInstant,
  [typeOid.numeric]: Number,
};
