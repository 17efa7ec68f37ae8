/**
 * One reading as JSON: what a sender should send, and the source of the published JSON Schema. The row path reads the same
 * readings faster and more patiently: where only a signal breaks this schema it takes the reading without that signal and
 * counts it, and only `time` and `vehicleId` cost the row. A test holds the two together.
 */
import { z } from 'zod';
import { type SignalName, signalDefinition, signalNames } from './catalogue.ts';
import { identifierPattern } from './intake/identifiers.ts';
import { Temporal } from './profile/temporal.ts';

const timePattern = /^(\d{4}-\d{2}-\d{2})[Tt ](\d{2}:\d{2}):(\d{2})(?:\.\d+)?([Zz]|[+-]\d{2}:\d{2})$/;

/** RFC 3339 with the leap seconds that can be; see `cell/rfc3339.ts` for the fine print. */
function isTime(text: string): boolean {
  const parts = timePattern.exec(text);
  if (parts === null) return false;
  const [, date, minute, second, offset] = parts;
  try {
    if (second !== '60') {
      Temporal.Instant.from(`${date}T${minute}:${second}${offset!.toUpperCase()}`);
      return true;
    }
    const before = Temporal.Instant.from(`${date}T${minute}:59${offset!.toUpperCase()}`);
    return /-(06-30|12-31)T23:59:59Z$/.test(before.toString());
  } catch {
    // A date that the calendar does not have.
    return false;
  }
}

const identifier = z
  .string()
  .regex(identifierPattern, 'expected 1 to 64 characters without control characters or line breaks');

const time = z
  .string()
  .refine(isTime, 'expected an RFC 3339 time with offset, such as 2026-03-02T06:11:40.250Z')
  .meta({ format: 'date-time' })
  .describe('RFC 3339 with offset; fractions of a second accepted.');

function signalSchema(name: SignalName) {
  const { type, min, max, unit, meaning } = signalDefinition(name);
  const value =
    type === 'flag'
      ? z.union([z.literal(0), z.literal(1), z.boolean()])
      : (type === 'integer' ? z.int() : z.number()).min(min).max(max);
  return value
    .nullable()
    .optional()
    .describe(unit === '1' ? meaning : `${meaning}, ${unit}`);
}

const signals = Object.fromEntries(signalNames.map((name) => [name, signalSchema(name)])) as Record<
  SignalName,
  ReturnType<typeof signalSchema>
>;

export const readingSchema = z
  .looseObject({
    time,
    vehicleId: identifier.describe('The truck.'),
    driverId: identifier.nullable().optional().describe('Who is signed in.'),
    ...signals,
  })
  .describe('One reading. An absent key and null both mean not reported, which is never the same as zero.');

/** One reading as it stands in JSON. */
export type JsonReading = z.infer<typeof readingSchema>;
