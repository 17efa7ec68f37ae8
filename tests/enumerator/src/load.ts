/**
 * The load signal around one episode: pressure of the drive-axle springs, or the axle load where only that is reported.
 * Levels and tolerances are in the signal's own unit.
 */
import type { TrueAnchor } from './row.ts';
import { quantile, type Sample, type Series, samplesIn, type View } from './series.ts';

export interface Load {
  readonly series: Series;
  readonly noise: number;
  readonly step: number;
  /** The signal's unit for each kPa: 1, or kg a kPa. */
  readonly perKpa: number;
  /** A smaller change than this is none that the rows show. */
  readonly tolerance: number;
  /** Size of the load transfer. */
  readonly transfer: number;
}

/** kg on the drive axles for each kPa where the rows do not tell: common practice. */
const usualKgPerKpa = 27;
/** Standard deviations within which one sample lies. */
const reach = 2.5;

/** Null where neither signal is reported, or pressure proves nothing. */
export function loadOf(view: View, episode: TrueAnchor): Load | null {
  const pressure = view.series('suspensionKpa');
  const series = pressure ?? view.series('axleLoadKg');
  if (series === null || view.known.springSuspension === true) return null;
  const kpa = Math.abs(episode.pressureBeforeKpa - episode.pressureAfterKpa);
  const perKpa = pressure !== null ? 1 : kgPerKpa(series, episode, kpa);
  const { noise, step } = sensorOf(view, series);
  const transfer = kpa * perKpa;
  return { series, noise, step, perKpa, tolerance: Math.max(3 * noise + step, 0.02 * transfer), transfer };
}

function kgPerKpa(series: Series, episode: TrueAnchor, kpa: number): number {
  const before = levelIn(series, episode.startTime - 30_000, episode.startTime + 1000);
  const after = levelIn(series, episode.endTime, episode.endTime + 60_000);
  const found = before === null || after === null || kpa === 0 ? 0 : Math.abs(before - after) / kpa;
  return found > usualKgPerKpa / 3 && found < usualKgPerKpa * 3 ? found : usualKgPerKpa;
}

/** Noise from neighbouring samples at standstill, step as the smallest change ever seen; what is known goes first. */
function sensorOf(view: View, series: Series): { noise: number; step: number } {
  const still = series.samples.filter((s) => view.at('speedKph', s.timeMs)?.value === 0);
  const changes = still.slice(1).map((s, i) => Math.abs(s.value - still[i].value));
  const some = changes.filter((change) => change > 1e-6);
  // Median of the absolute difference of two normal values: 0.6745 times the square root of 2.
  const noise = view.known.loadNoise ?? quantile(changes, 0.5) / (0.6745 * Math.SQRT2);
  const step = view.known.loadStep ?? some.reduce((least, change) => Math.min(least, change), some[0] ?? 0);
  return { noise, step };
}

/** How far the mean of so many samples may be from the truth. */
export function errorOf(load: Load, samples: readonly Sample[]): number {
  const slack = Math.max(...samples.map((s) => s.slack));
  return (reach * load.noise) / Math.sqrt(samples.length) + load.step / 2 + slack;
}

export function mean(samples: readonly Sample[]): number {
  return samples.reduce((sum, s) => sum + s.value, 0) / samples.length;
}

/** Median of the samples of a stretch, or null where there is none. */
export function levelIn(series: Series, fromMs: number, toMs: number): number | null {
  return medianOf(samplesIn(series, fromMs, toMs));
}

export function medianOf(samples: readonly Sample[]): number | null {
  return samples.length === 0
    ? null
    : quantile(
        samples.map((s) => s.value),
        0.5,
      );
}
