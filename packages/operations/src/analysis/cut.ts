/** A stored stretch as what a tracker begins at. */
import { type Cut, parseTrackerState, StateRefusedError } from '@gearhold/episodes';
import type { StoredStretch } from '@gearhold/store';

/** Null at the beginning of a life, and where the state is another version's: then the truck is gone through from its first row. */
export function cutOf({ state }: StoredStretch): Cut | null {
  if (state === null) return null;
  try {
    const parsed = parseTrackerState(JSON.parse(state));
    return { timeMs: parsed.history.times.at(-1)!, state: parsed };
  } catch (error) {
    if (error instanceof StateRefusedError) return null;
    throw error;
  }
}
