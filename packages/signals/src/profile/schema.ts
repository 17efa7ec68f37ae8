/**
 * The source profile file: somebody else's columns, units, times and codes, mapped onto the signal catalogue. Everything
 * that can be wrong with a profile is an issue of this schema, with its path; a profile that passes compiles.
 */
import { z } from 'zod';
import { type SignalName, signalDefinition, signalNames } from '../catalogue.ts';
import { isUnitSymbol, unitsOf } from '../units.ts';
import { compilePattern } from './pattern.ts';
import { isZone } from './zone.ts';

const name = z.string().min(1, 'expected a name');
const column = z.strictObject({ column: name });

const signalEntry = z.strictObject({
  from: name.describe('A column in a wide layout, a value of the signal column in a narrow one.'),
  unit: z.string().optional().describe("The unit it comes in; the catalogue's own unless given."),
  codes: z
    .record(z.string(), z.number())
    .optional()
    .describe('Cells that stand for a value, in the unit of the catalogue; others are taken as numbers.'),
});

const signalEntries = Object.fromEntries(signalNames.map((signal) => [signal, signalEntry.optional()])) as Record<
  SignalName,
  z.ZodOptional<typeof signalEntry>
>;

const timeSchema = z.strictObject({
  column: name,
  format: name
    .default('iso')
    .describe(
      'iso (RFC 3339), epochSeconds, epochMilliseconds, or a Unicode date pattern such as yyyy-MM-dd HH:mm:ss.SSS.',
    ),
  zone: z
    .string()
    .refine(isZone, 'expected an IANA time zone, such as America/Chicago')
    .optional()
    .describe('Zone of a date pattern without offset.'),
  ambiguous: z
    .enum(['reject', 'earlier', 'later'])
    .default('reject')
    .describe('What a local time that happens twice means; one that never happens is always a reject.'),
});

const shape = z.strictObject({
  name: z.string().optional(),
  layout: z.enum(['wide', 'narrow']).default('wide'),
  delimiter: z
    .string()
    .regex(/^[\t\x20-\x7e]$/, 'expected one ASCII character')
    .refine((text) => text !== '"', 'expected another character than the quote')
    .default(','),
  decimal: z.enum(['.', ',']).default('.'),
  notReported: z.array(z.string()).default([]).describe('Cells that mean not reported; an empty one always does.'),
  time: timeSchema,
  vehicleId: column,
  driverId: z
    .union([column, z.strictObject({ from: name })])
    .optional()
    .describe('A column, or in a narrow layout also a value of the signal column.'),
  signal: column.optional().describe('Narrow layout: the column that names the signal of a row.'),
  value: column.optional().describe('Narrow layout: the column with its value.'),
  signals: z.strictObject({ ...signalEntries, driverId: z.strictObject({ from: name }).optional() }),
});

export const sourceProfileSchema = shape
  .superRefine((profile, context) => {
    const fault = (path: PropertyKey[], message: string) => context.addIssue({ code: 'custom', path, message });
    timeFaults(profile.time, (key, message) => fault(['time', key], message));
    const narrow = profile.layout === 'narrow';
    for (const key of ['signal', 'value'] as const) {
      if (narrow && profile[key] === undefined) fault([key], 'expected a column: a narrow layout needs one');
      if (!narrow && profile[key] !== undefined) fault([key], 'expected nothing: only a narrow layout has one');
    }
    if (!narrow && profile.driverId !== undefined && 'from' in profile.driverId) {
      fault(['driverId'], 'expected a column: from is for a narrow layout');
    }
    if (!narrow && profile.signals.driverId !== undefined) {
      fault(['signals', 'driverId'], 'expected nothing: in a wide layout driverId has its own column');
    }
    if (profile.driverId !== undefined && profile.signals.driverId !== undefined) {
      fault(['signals', 'driverId'], 'expected driverId in one place only');
    }
    for (const signal of signalNames) {
      const entry = profile.signals[signal];
      if (entry !== undefined) signalFaults(signal, entry, (path, text) => fault(['signals', signal, ...path], text));
    }
  })
  .describe("A source profile: how somebody else's file maps onto the signal catalogue.");

export type SourceProfile = z.output<typeof sourceProfileSchema>;
/** A profile as it may stand in a file, with everything that has a default left out. */
export type SourceProfileInput = z.input<typeof sourceProfileSchema>;
type SignalEntry = z.output<typeof signalEntry>;

/** Formats that are no pattern. */
const namedFormats: readonly string[] = ['iso', 'epochSeconds', 'epochMilliseconds'];

function timeFaults(time: SourceProfile['time'], fault: (key: string, message: string) => void): void {
  if (namedFormats.includes(time.format)) return;
  const pattern = compilePattern(time.format);
  if (typeof pattern === 'string') {
    fault('format', `${pattern}; or iso, epochSeconds, epochMilliseconds`);
  } else if (!pattern.hasOffset && time.zone === undefined) {
    fault('zone', 'expected an IANA time zone, such as America/Chicago: the pattern carries no offset');
  }
}

function signalFaults(signal: SignalName, entry: SignalEntry, fault: (path: string[], message: string) => void): void {
  const allowed = unitsOf(signal);
  if (entry.unit !== undefined && !(isUnitSymbol(entry.unit) && allowed.includes(entry.unit))) {
    fault(
      ['unit'],
      allowed.length === 0 ? 'expected nothing: it has no unit' : `expected one of ${allowed.join(', ')}`,
    );
  }
  const { min, max, type } = signalDefinition(signal);
  for (const [code, value] of Object.entries(entry.codes ?? {})) {
    if (value >= min && value <= max && (type === 'real' || Number.isInteger(value))) continue;
    const kind = type === 'real' ? 'a number' : 'a whole number';
    fault(['codes', code], `expected ${kind} from ${min} to ${max}`);
  }
}
