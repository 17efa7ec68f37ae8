/** What was strange about a vehicle's rows and did not stop the analysis: counted, so that a summary can say it. */
export interface Oddities {
  /** Silences of a vehicle over which nothing was concluded: the clock may have jumped, or the source was away. */
  readonly breaks: number;
  /** Times the level without a trailer moved for good and learning began anew: the sensor was mended or replaced. */
  readonly restarts: number;
  /** Times a load sensor was found stuck, and taken as silent until it moved again. */
  readonly stuck: number;
}

export const noOddities: Oddities = { breaks: 0, restarts: 0, stuck: 0 };

export function addOddities(a: Oddities, b: Oddities): Oddities {
  return { breaks: a.breaks + b.breaks, restarts: a.restarts + b.restarts, stuck: a.stuck + b.stuck };
}
