/**
 * Whether the springs were exhausted at standstill before the trailer was left, and at which instants the dump's fall may
 * have been done: all but 5 % of it, or all but 5 kPa, or all but one step of the sensor, whichever leaves most.
 */
import { errorOf, type Load, mean } from './load.ts';
import type { TrueAnchor } from './row.ts';
import { type Sample, samplesIn, type View } from './series.ts';

export type DumpEvidence = 'certain' | 'possible' | 'excluded';

export interface DumpInstants {
  readonly lowMs: number;
  /** Infinity where no sample proves that the fall was done. */
  readonly highMs: number;
}

const restShare = 0.05;
const restKpa = 5;
/** Means are taken over at most so many samples. */
const longestMean = 8;
const flatSamples = 5;
/** Above this the truck travels, with its levels settled. */
const travelKph = 10;

/**
 * What the rows of the standstill say of a dump. Springs that were exhausted come down far below the tractor's own level;
 * a load that went off without a dump leaves them at it. The line is half of that level.
 */
export function dumpEvidence(
  view: View,
  load: Load | null,
  episode: TrueAnchor,
  standMs: number,
  pullMs: number,
): DumpEvidence {
  const seen = fromRows(view, load, episode, standMs, pullMs);
  // The truth only ever widens: a witness whose rows speak against it proves nothing.
  if (seen === 'excluded' && episode.dumped) return 'possible';
  if (seen === 'certain' && !episode.dumped) return 'possible';
  return seen;
}

function fromRows(view: View, load: Load | null, episode: TrueAnchor, standMs: number, pullMs: number): DumpEvidence {
  const command = view.series('suspensionDump');
  const commands = samplesIn(command, standMs, pullMs);
  if (commands.some((s) => s.value === 1)) return 'certain';
  const first = command?.samples.findIndex((s) => s.timeMs >= standMs) ?? 0;
  const links = command?.links.slice(first, first + commands.length - 1) ?? [];
  if (commands.length > 1 && links.every((link) => link === 'shown')) return 'excluded';
  if (load === null) return 'possible';
  const stood = samplesIn(load.series, standMs, pullMs);
  const half = bobtail(view, load, episode) / 2;
  if (means(stood).some((run) => mean(run) + errorOf(load, run) < half)) return 'certain';
  const last = stood.slice(-flatSamples);
  if (last.length < flatSamples) return 'possible';
  const values = last.map((s) => s.value);
  const flat = Math.max(...values) - Math.min(...values) <= 2 * load.tolerance;
  return flat && mean(last) - errorOf(load, last) > half ? 'excluded' : 'possible';
}

/** Level of the tractor alone: as known, else as it travels after the episode, else the truth's. */
function bobtail(view: View, load: Load, episode: TrueAnchor): number {
  if (view.known.bobtail !== undefined) return view.known.bobtail;
  const travelling = load.series.samples.filter(
    (s) => s.timeMs > episode.endTime && (view.at('speedKph', s.timeMs)?.value ?? 0) > travelKph,
  );
  return travelling.length >= flatSamples ? mean(travelling) : episode.pressureAfterKpa * load.perKpa;
}

/** Every run of one to eight neighbouring samples. */
function means(samples: readonly Sample[]): Sample[][] {
  const runs: Sample[][] = [];
  for (let n = 1; n <= longestMean; n++) for (let i = n; i <= samples.length; i++) runs.push(samples.slice(i - n, i));
  return runs;
}

/** Instants at which the fall may have been done, between two times; null where there are no samples to tell. */
export function dumpInstants(load: Load | null, fromMs: number, toMs: number): DumpInstants | null {
  if (load === null) return null;
  const samples = samplesIn(load.series, fromMs, toMs);
  if (samples.length < 2) return null;
  const runs = means(samples);
  // The lowest point is no higher than any mean, and no lower than the lowest sample, which noise has pulled down.
  const leastLow = Math.min(...samples.map((s) => s.value - s.slack)) - load.step / 2;
  const leastHigh = Math.min(...runs.map((run) => mean(run) + errorOf(load, run)));
  const [startLow, startHigh] = levelBeforeFall(load, samples, (samples[0].value + leastLow) / 2);
  const restAtLeast = Math.max(restKpa * load.perKpa, load.step);
  const doneHigh = leastHigh + Math.max(restAtLeast, restShare * (startHigh - leastLow));
  const doneLow = leastLow + Math.max(restAtLeast, restShare * (startLow - leastHigh));
  // Done at the latest at the end of the first run that is surely below: what falls is below its own past mean.
  const below = runs
    .filter((run) => mean(run) + errorOf(load, run) <= doneLow)
    .map((run) => run[run.length - 1].timeMs);
  const highMs = Math.min(...below);
  // Not done yet at the last sample before that, or before the lowest one, which is surely above; later ones are a refill.
  const lowest = samples.reduce((least, s) => (s.value <= least.value ? s : least));
  const until = Math.min(highMs, lowest.timeMs);
  const above = samples.findLast((s) => s.timeMs < until && s.value - errorOf(load, [s]) > doneHigh);
  return { lowMs: above?.timeMs ?? fromMs, highMs };
}

/** Level from which the dump's fall began: that of the last flat pair before half of it. */
function levelBeforeFall(load: Load, samples: readonly Sample[], half: number): [number, number] {
  const crossing = samples.findIndex((s) => s.value < half);
  for (let i = crossing - 1; i > 0; i--) {
    const pair = [samples[i - 1], samples[i]];
    if (pair[0].value - pair[1].value <= load.tolerance)
      return [
        Math.min(pair[0].value, pair[1].value) - load.tolerance,
        Math.max(pair[0].value, pair[1].value) + load.tolerance,
      ];
  }
  return [samples[0].value - load.tolerance, samples[0].value + load.tolerance];
}
