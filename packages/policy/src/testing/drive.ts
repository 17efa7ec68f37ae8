/** Rows of a drive told leg by leg, for tests. Engine speed never repeats, so that no row is a stale copy by chance. */
import { type Row, rowsEvery } from './scene.ts';

export interface Leg extends Omit<Row, 't' | 'engineRpm'> {
  /** How long it lasts, s. */
  readonly seconds: number;
  /** Load signal through the leg, kPa, by seconds into it. */
  readonly kpa: number | ((into: number) => number);
}

/** Rows at a fixed interval through the legs, one after the other from 0 s. The first row of a leg lies at its beginning. */
export function drive(legs: readonly Leg[], every = 1): Row[] {
  const end = legs.reduce((total, leg) => total + leg.seconds, 0);
  return rowsEvery(every, 0, end, (t) => {
    let start = 0;
    let leg = legs[0]!;
    for (const next of legs) {
      if (t < start + next.seconds || next === legs.at(-1)) {
        leg = next;
        break;
      }
      start += next.seconds;
    }
    const { seconds: _, kpa, ...values } = leg;
    return {
      ...values,
      suspensionKpa: typeof kpa === 'number' ? kpa : kpa(t - start),
      engineRpm: 650 + ((t * 7) % 50),
    };
  });
}

/** Load coming on, or going off, at 40 kPa a second. */
export const rising = (into: number): number => Math.min(160, 60 + 40 * into);
export const falling = (into: number): number => Math.max(60, 160 - 40 * into);
