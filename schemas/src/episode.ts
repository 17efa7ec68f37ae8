/**
 * An episode on the wire: one line of an analysis. The list is open: consumers ignore kinds, checks and fields that they do not
 * know, so every object here lets further fields through.
 */
import { concerns, outcomes, urgencies } from '@gearhold/policy';
import { z } from 'zod';

const time = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z$/)
  .meta({ format: 'date-time' })
  .describe('ISO 8601 with milliseconds and Z.');
const bounds = z
  .looseObject({ low: time, high: time })
  .describe('Between which instants it lies: the last sample that shows before, the first that shows after.');
const number = z.number();

const measured = z
  .looseObject({
    value: number.describe('Best single figure within the bounds.'),
    low: number.nullable().describe('The true value is at least this; null = unbounded.'),
    high: number.nullable().describe('The true value is at most this; null = unbounded.'),
    unit: z.string().describe('s, m, km/h, %, r/min, count, or 0/1 for yes or no.'),
  })
  .describe('What was measured, and what it can be, given when the samples were taken.');

const check = z.looseObject({
  check: z
    .string()
    .min(1)
    .describe('Name of the check. With the episode id it is the id of an anomaly: episodeId/check.'),
  outcome: z
    .enum(outcomes)
    .describe('met and missed are proofs; undetermined says in its reason why neither; missed is an anomaly.'),
  measured: measured.nullable().describe('null only where nothing is known.'),
  limit: z.record(z.string(), z.union([number, z.string()])).describe('What the policy asks, units in the names.'),
  window: z
    .looseObject({ start: time, end: time })
    .nullable()
    .describe('The stretch of time that the check looked at.'),
  concern: z.enum(concerns).describe('Whom a miss concerns.'),
  urgency: z.enum(urgencies).describe('urgent: somebody may be in danger now.'),
  reason: z.string().min(1).describe('One plain sentence, in SI.'),
  reasonParts: z
    .looseObject({
      text: z.string(),
      values: z.record(z.string(), z.union([z.string(), z.looseObject({ value: number, unit: z.string() })])),
    })
    .optional()
    .describe('The sentence as text with gaps and the quantities that fill them, to be said in other units.'),
});

export const episodeSchema = z
  .looseObject({
    episodeId: z.string().min(1).describe('The same for the same vehicle, kind and load-transfer time.'),
    kind: z.string().min(1).describe('coupling, uncoupling; on request attempt, load-loss. The list is open.'),
    vehicleId: z.string().min(1).max(64),
    driverId: z.string().min(1).max(64).nullable().describe('Who backed under or pulled out.'),
    driverBasis: z.enum(['reported', 'carried', 'unknown']),
    startTime: time,
    loadTransferTime: time.describe('When half of the rise, or of the fall, was reached.'),
    endTime: time,
    position: z
      .looseObject({ latitude: number.min(-90).max(90), longitude: number.min(-180).max(180) })
      .nullable()
      .describe('WGS 84, degrees.'),
    siteId: z.string().min(1).nullable(),
    pressureBeforeKpa: number
      .nullable()
      .describe('Settled level before, kPa; null where only the axle load was reported.'),
    pressureAfterKpa: number.nullable().describe('Settled level after, kPa.'),
    axleLoadBeforeKg: number
      .nullable()
      .optional()
      .describe('Settled load before, kg; only where the axle load was used.'),
    axleLoadAfterKg: number.nullable().optional().describe('Settled load after, kg.'),
    trailerLoad: z.enum(['empty', 'part', 'loaded', 'unknown']),
    suspensionDumped: z.boolean().nullable().describe('null where the data cannot say.'),
    milestones: z
      .record(z.string(), z.union([time.nullable(), z.array(time)]))
      .describe('By name; null where the data cannot place it.'),
    milestoneBounds: z.record(z.string(), z.union([bounds.nullable(), z.array(bounds)])).optional(),
    confidence: number
      .min(0)
      .max(1)
      .describe('Probability that an episode of this kind happened within 15 s of loadTransferTime.'),
    checks: z.array(check).describe("Every enabled check of the kind, in the policy's order."),
  })
  .describe('One coupling, uncoupling, attempt or load loss, with the verdicts of its checks.');
