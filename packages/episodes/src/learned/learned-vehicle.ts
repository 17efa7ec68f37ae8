/**
 * What is known of one truck by now, for whoever asks after it: what the fleet states, what was learned from the rows, and
 * where the two contradict each other. Read-only; nothing that decides about an episode reads from here. Levels, noise and
 * step in the unit of the load signal (kPa or kg), speeds km/h.
 */
import type { SignalName } from '@gearhold/signals';
import type { Cadence, Learned } from '../evidence.ts';
import { tolerance } from '../load/tolerance.ts';
import type { Vehicle } from '../vehicle.ts';
import type { SeenLevels } from './level-memory.ts';
import type { Sensed } from './sensor-learner.ts';

export type LoadSignalName = 'suspensionKpa' | 'axleLoadKg';

export interface LearnedVehicle {
  readonly vehicleId: string;
  /** The entry of the vehicles file that held at the last row; null where it has none. */
  readonly vehicle: Vehicle | null;
  /** The signal that carries the load; null where none was reported that proves anything. */
  readonly loadSignal: LoadSignalName | null;
  /** What the tracker works with: what is stated where it is believed, else what was learned. */
  readonly learned: Learned;
  /** What the readings alone show. */
  readonly seen: SeenLevels;
  readonly sensed: Sensed;
  /** How the source sends each signal. */
  readonly cadence: (signal: SignalName) => Cadence;
}

export const statedFigures = ['bobtailKpa', 'emptyKpa', 'loadedKpa', 'blindSpeedKph'] as const;

/** A figure of the vehicles file that the readings contradict. */
export interface Contradiction {
  readonly figure: (typeof statedFigures)[number];
  readonly stated: number;
  /** What the readings show instead. */
  readonly seen: number;
  /** Transfers, or trailers, that show it; for the blind speed the slow samples are many. */
  readonly times: number | null;
}

/** One reading of a level may have caught the springs on their way: it takes two to contradict what is stated. */
const witnessesNeeded = 2;
/** Speeds are reported this much below a sensor's blind speed by rounding alone, km/h (assumed). */
const blindBelowKph = 0.3;
/** A stated blind speed is too low where nothing as slow was ever reported, by this much, km/h (assumed). */
const blindAboveKph = 1;

/** Figures of the vehicles file that the readings contradict, in the order of {@link statedFigures}. */
export function contradictions({ vehicle, loadSignal, seen, sensed, learned }: LearnedVehicle): Contradiction[] {
  const found: Contradiction[] = [];
  const levels = loadSignal === 'suspensionKpa' ? vehicle?.levels : undefined;
  const { distinct } = tolerance('suspensionKpa', learned.noise, learned.step);
  const bobtail = levels?.bobtailKpa;
  if (bobtail !== undefined && seen.bobtail !== null && seen.bobtailTransfers >= witnessesNeeded) {
    if (Math.abs(seen.bobtail - bobtail) > distinct(seen.bobtail, bobtail))
      found.push({ figure: 'bobtailKpa', stated: bobtail, seen: seen.bobtail, times: seen.bobtailTransfers });
  }
  const trailers = (figure: 'emptyKpa' | 'loadedKpa', beyond: (level: number, stated: number) => boolean) => {
    const stated = levels?.[figure];
    if (stated === undefined) return;
    const against = seen.coupled.filter(
      (level) => beyond(level, stated) && Math.abs(level - stated) > distinct(level, stated),
    );
    if (against.length < witnessesNeeded) return;
    found.push({ figure, stated, seen: against[against.length >> 1], times: against.length });
  };
  // A trailer heavier than empty, or lighter than full, contradicts nothing.
  trailers('emptyKpa', (level, stated) => level < stated);
  trailers('loadedKpa', (level, stated) => level > stated);
  const blind = vehicle?.blindSpeedKph;
  if (blind !== undefined && sensed.blindSpeedKph !== null) {
    const above = sensed.blindSpeedKph - blind;
    if (above < -blindBelowKph || above > blindAboveKph)
      found.push({ figure: 'blindSpeedKph', stated: blind, seen: sensed.blindSpeedKph, times: null });
  }
  return found;
}
