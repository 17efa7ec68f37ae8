/**
 * The work file: what dispatch wrote down of trailers taken and left. And what came of matching it to the episodes that were
 * seen: one line of `gearhold match --ndjson`.
 */
import { parseRfc3339 } from '@gearhold/signals';
import { z } from 'zod';

const id = z.string().min(1).max(64);

/** The instant of an RFC 3339 text, ms since the epoch; NaN where it is none. */
function rfc3339Ms(text: string): number {
  const bytes = new TextEncoder().encode(text);
  return parseRfc3339(bytes, 0, bytes.length);
}

/** One record as it goes in; further fields are not read. */
export const workRecordSchema = z
  .object({
    time: z
      .string()
      .refine(
        (text) => !Number.isNaN(rfc3339Ms(text)),
        'expected an RFC 3339 time with offset, such as 2026-03-02T06:15:00-06:00',
      )
      .transform((text) => new Date(rfc3339Ms(text)).toISOString())
      .meta({ format: 'date-time' })
      .describe('When it was done, as far as dispatch knows. RFC 3339 with offset.'),
    vehicleId: id.describe('The tractor, as its readings name it.'),
    action: z.enum(['hook', 'drop']).describe('hook: took a trailer (a coupling); drop: left one (an uncoupling).'),
    trailerId: id.optional(),
    trailerType: id.optional().describe('In the words of the fleet: van, tank, flatbed.'),
    driverId: id.optional(),
    siteId: id.optional().describe('As the sites file names it.'),
  })
  .describe('One trailer taken or left, as dispatch recorded it.');

export const workSchema = z.array(workRecordSchema).describe('The work file: records of dispatch, in any order.');

export type WorkRecord = z.output<typeof workRecordSchema>;

const time = z.string().meta({ format: 'date-time' }).describe('ISO 8601 with milliseconds and Z.');

const record = z.looseObject({
  line: z.number().int().min(1).describe('Line of the work file.'),
  time,
  vehicleId: id,
  action: z.enum(['hook', 'drop']),
  trailerId: id.optional(),
  trailerType: id.optional(),
  driverId: id.optional(),
  siteId: id.optional(),
});

const episode = z.looseObject({
  episodeId: z.string().min(1),
  kind: z.enum(['coupling', 'uncoupling']),
  vehicleId: id,
  driverId: id.nullable(),
  loadTransferTime: time,
  siteId: z.string().min(1).nullable(),
  trailerLoad: z.string(),
  confidence: z.number().min(0).max(1),
});

export const recordReasons = ['not-seen', 'blind-truck', 'no-readings', 'outside-readings'] as const;
export const episodeReasons = ['no-record', 'vehicle-not-in-work', 'outside-work'] as const;

const found = z.looseObject({
  records: z
    .number()
    .int()
    .min(0)
    .describe('Records that the readings cover: all but no-readings and outside-readings.'),
  found: z.number().int().min(0),
  share: z.number().min(0).max(1).nullable().describe('found / records; null without a record.'),
  low: z.number().min(0).max(1).describe('Ends of its 95 % Wilson interval.'),
  high: z.number().min(0).max(1),
});

export const workMatchSchema = z
  .discriminatedUnion('result', [
    z.looseObject({
      result: z.literal('matched'),
      record,
      episode,
      secondsLater: z.number().describe('How much later the record is than the load transfer, s.'),
    }),
    z.looseObject({
      result: z.literal('record-only'),
      record,
      reason: z.enum(recordReasons).describe('blind-truck: no signal shows its load, so nothing can be seen on it.'),
      otherKindSecondsLater: z
        .number()
        .nullable()
        .describe('How much later the record is than the nearest episode of the other kind within the window, s.'),
    }),
    z.looseObject({ result: z.literal('episode-only'), episode, reason: z.enum(episodeReasons) }),
    z.looseObject({
      result: z.literal('summary'),
      windowMinutes: z.number(),
      all: found,
      hooks: found,
      drops: found,
      medianSecondsLater: z.number().nullable().describe('Of the matched; null without one.'),
    }),
  ])
  .describe('What became of one record or one episode; the last line sums up.');

export type WorkMatch = z.infer<typeof workMatchSchema>;
