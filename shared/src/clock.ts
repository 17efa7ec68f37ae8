/** The clock as an argument: a program hands in the system's, a test its own. */

export interface Clock {
  /** ms since the epoch. */
  now(): number;
}

export const systemClock: Clock = { now: () => Date.now() };
