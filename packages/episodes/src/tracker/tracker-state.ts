/**
 * The state of a vehicle's tracker as plain JSON, so that it survives its process: what was learned of the truck, the rows
 * that may still matter, and where the tracker stands. A tracker resumed from it goes on to the byte as the one it was
 * taken of. Times ms since the epoch; null = not known, or none so far.
 *
 * A state of another version of this engine, or one that was damaged, is refused: the caller learns again from the first
 * row it has.
 */
import { z } from 'zod';
import { cadenceState } from '../cadence/cadence.ts';
import { levelMemoryState } from '../learned/level-memory.ts';
import { sensorLearnerState } from '../learned/sensor-learner.ts';
import { stuckSensorState } from '../learned/stuck-sensor.ts';
import { jsonNumber } from '../state/json-number.ts';
import { historyState } from '../track/history.ts';
import { vehicleSchema } from '../vehicle.ts';
import { driverLogState } from './driver-log.ts';
import { levelWatchState } from './level-watch.ts';
import { travelState } from './travel.ts';

/**
 * Rises with every change to this package that lets the same rows give another state or another episode: what was learned
 * before the change is then learned anew.
 */
export const engineVersion = 5;

const interval = z.strictObject({ low: z.number(), high: z.number(), best: z.number() });

const anchor = z.strictObject({
  level: z.number(),
  settled: z.boolean(),
  fromMs: z.number(),
  toMs: z.number(),
  move: z
    .strictObject({
      kind: z.enum(['forward', 'reverse', 'moving']),
      start: interval,
      end: interval,
      metres: interval,
      firstRow: z.number(),
      lastRow: z.number(),
    })
    .nullable(),
  fellFrom: z.number().optional(),
  cameFrom: z.number().optional(),
});

export const trackerStateSchema = z.strictObject({
  engineVersion: z.literal(engineVersion),
  vehicleId: z.string().min(1),
  /** The entry of the vehicles file that holds; null where none does. */
  vehicle: vehicleSchema.nullable(),
  loadSignal: z.enum(['suspensionKpa', 'axleLoadKg']),
  loadSeen: z.boolean(),
  coupled: z.enum(['on', 'off', 'unknown']),
  anchor: anchor.nullable(),
  levelBeforeBreak: jsonNumber,
  memory: levelMemoryState,
  sensors: sensorLearnerState,
  stuck: stuckSensorState,
  cadence: cadenceState,
  drivers: driverLogState,
  watch: levelWatchState,
  travel: travelState,
  reverseGearMs: jsonNumber,
  nextLookMetres: z.number(),
  nextLookMs: jsonNumber,
  waitingSinceMs: jsonNumber,
  awaitsTrip: z.boolean(),
  lastAttemptMs: jsonNumber,
  thinAt: z.number(),
  thinnedTo: jsonNumber,
  breaks: z.number().int().min(0),
  stuckRuns: z.number().int().min(0),
  history: historyState,
});
export type TrackerState = z.infer<typeof trackerStateSchema>;

/** A stored state that this engine cannot go on from. */
export class StateRefusedError extends Error {
  readonly code = 'STATE_REFUSED';
  /** Version of the engine that the state names; null where it names none. */
  readonly version: number | null;

  constructor(version: number | null, reason: string) {
    super(`state of a vehicle refused: ${reason}; learn again from the vehicle's first row`);
    this.name = 'StateRefusedError';
    this.version = version;
  }
}

/**
 * A state read back from JSON.
 *
 * @throws {StateRefusedError} where it is another version's, or no state at all
 */
export function parseTrackerState(json: unknown): TrackerState {
  const parsed = trackerStateSchema.safeParse(json);
  if (parsed.success) return parsed.data;
  const named = (json as { engineVersion?: unknown } | null)?.engineVersion;
  const version = typeof named === 'number' ? named : null;
  if (version !== null && version !== engineVersion) {
    throw new StateRefusedError(version, `it is of engine version ${version}, this is version ${engineVersion}`);
  }
  const { path, message } = parsed.error.issues[0]!;
  throw new StateRefusedError(version, `${path.join('.') || 'the whole'}: ${message}`);
}
