/**
 * The cells of a sheet's row, except its times, as a zod schema: text in, what it means out. Blank is `null`, or an empty
 * text where the cell is text. Every message says what was expected.
 */
import { isZone } from '@gearhold/signals';
import { z } from 'zod';
import { pausePlaces, watchedKinds } from './columns.ts';

const lower = (text: string) => text.toLowerCase();
const emptyText = z.string().max(2000, 'expected at most 2000 characters');

/** Blank, or what the schema makes of the text; `expected` is said of anything else. */
function blankOr<T>(schema: z.ZodType<T, string>, expected: string) {
  return z.string().transform((text, context): T | null => {
    if (text === '') return null;
    const result = schema.safeParse(text);
    if (result.success) return result.data;
    context.addIssue({ code: 'custom', message: expected });
    return z.NEVER;
  });
}

const yesNo = blankOr(
  z.stringbool({ truthy: ['yes', 'y', 'true', '1', 'x'], falsy: ['no', 'n', 'false', '0'] }),
  'expected yes or no',
);

/** `45`, `45.5`, `45 s`, `1:05` as a stopwatch shows it. */
const seconds = blankOr(
  z
    .string()
    .regex(/^((\d{1,4}:)?[0-5]\d|\d{1,5})([.,]\d{1,3})?( ?s)?$/)
    .transform((text) => {
      const [last = '', minutes = '0'] = text.replace(/ ?s$/, '').replace(',', '.').split(':').reverse();
      return Number(minutes) * 60 + Number(last);
    }),
  'expected seconds, 0 or more, such as 45 or 1:05',
);

const count = blankOr(
  z
    .string()
    .regex(/^\d{1,2}$/)
    .transform(Number),
  'expected a count, 0 or more',
);

/** What drivers say for the two kinds is taken too. */
const spoken: Readonly<Record<string, string>> = { hook: 'coupling', drop: 'uncoupling' };

export const cellSchema = z.object({
  date: blankOr(z.iso.date(), 'expected a date such as 2026-03-02'),
  yard: emptyText,
  zone: z
    .string()
    .refine((text) => text === '' || isZone(text), 'expected a time zone such as America/Chicago, UTC or -06:00'),
  vehicleId: z
    .string()
    .min(1, 'expected the vehicleId as it stands in the readings')
    .max(64, 'expected at most 64 characters'),
  kind: z
    .string()
    .transform((text) => spoken[lower(text)] ?? lower(text))
    .pipe(z.enum(watchedKinds, 'expected coupling, uncoupling or none')),
  gotOut: yesNo,
  stopSeconds: seconds,
  tugTests: count,
  pause: blankOr(z.string().transform(lower).pipe(z.enum(pausePlaces)), 'expected none, before-pull or under-nose'),
  pauseSeconds: seconds,
  parkingBrakeSet: yesNo,
  dumpUsed: yesNo,
  secondHit: yesNo,
  remarks: emptyText,
  watcher: emptyText,
});
export type Cells = z.infer<typeof cellSchema>;
