/**
 * A watched step against the verdict on it. What was seen is turned into what the verdict ought to be under the limit that
 * was asked; where the stopwatch, or what was written down, leaves that open, nothing is compared. Times in s.
 */
import type { WireCheck, WireEpisode } from '@gearhold/policy';
import type { StepsSeen, WatchedEpisode } from './watched.ts';

/** `open`: the stopwatch or the sheet leaves open what the verdict ought to be. */
type Expected = 'met' | 'missed' | 'open';

export const stepResults = [
  'right',
  'undetermined',
  'false-missed',
  'false-met',
  'wrong',
  'open',
  'not-asked',
] as const;
/** `wrong`: no verdict on anybody, but not what was seen. `not-asked`: the policy does not ask it of this episode. */
export type StepResult = (typeof stepResults)[number];

export interface StepCompared {
  /** The check, or `suspensionDumped` for the field of that name. */
  readonly check: string;
  /** What was seen, as a sentence part: 'a pause of 34 s under the nose'. */
  readonly seen: string;
  /** Whether what was seen is that the step was taken. */
  readonly expected: Expected;
  readonly result: StepResult;
  /** What the analysis says, one sentence. */
  readonly said: string;
}

interface Seen {
  readonly words: string;
  readonly expected: (limit: WireCheck['limit']) => Expected;
}

/** Somebody who gets out, looks and gets back in stands for at least this long (common practice). */
const outAndBackSeconds = 10;

/** Every step of the row that was written down, against the episode. `toleranceSeconds`: of one press of the stopwatch. */
export function compareSteps(row: WatchedEpisode, episode: WireEpisode, toleranceSeconds: number): StepCompared[] {
  const compared: StepCompared[] = [];
  for (const [check, seen] of stepsSeen(row, 2 * toleranceSeconds)) {
    const found = episode.checks.find((one) => one.check === check);
    if (found === undefined) {
      compared.push({
        check,
        seen: seen.words,
        expected: 'open',
        result: 'not-asked',
        said: 'The policy does not ask it.',
      });
      continue;
    }
    const expected = seen.expected(found.limit);
    compared.push({ check, seen: seen.words, expected, result: resultOf(found.outcome, expected), said: found.reason });
  }
  if (row.steps.dumpUsed !== null) compared.push(compareDump(row.steps.dumpUsed, episode.suspensionDumped));
  return compared;
}

function resultOf(outcome: WireCheck['outcome'], expected: Expected): StepResult {
  if (outcome === 'not-applicable') return 'not-asked';
  if (expected === 'open') return 'open';
  if (outcome === 'undetermined') return 'undetermined';
  if (outcome === expected) return 'right';
  return outcome === 'missed' ? 'false-missed' : 'false-met';
}

function compareDump(used: boolean, dumped: boolean | null): StepCompared {
  const result = dumped === null ? 'undetermined' : dumped === used ? 'right' : 'wrong';
  const said =
    dumped === null
      ? 'The readings do not show whether the air was let out.'
      : `By the readings the air was ${dumped ? '' : 'not '}let out.`;
  const seen = used ? 'the air was let out' : 'the air was not let out';
  return { check: 'suspensionDumped', seen, expected: used ? 'met' : 'missed', result, said };
}

function stepsSeen({ kind, steps, times }: WatchedEpisode, spread: number): Map<string, Seen> {
  const seen = new Map<string, Seen>();
  const put = (check: string, words: string, expected: Seen['expected']) => seen.set(check, { words, expected });
  if (kind === 'coupling') {
    const stop = stopSeen(steps, spread);
    if (stop !== null) put('approach-stop', stop.words, stop.expected);
    const { tugTests } = steps;
    if (tugTests !== null) {
      put(
        'tug-test-count',
        tugTests === 0 ? 'no tug test' : tugTests === 1 ? '1 tug test' : `${tugTests} tug tests`,
        ({ minCount }) => (tugTests >= Number(minCount) ? 'met' : 'missed'),
      );
    }
  } else {
    const pause = pauseSeen(steps, times, spread);
    if (pause !== null) put('gear-hold-pause', pause.words, pause.expected);
    if (steps.secondHit !== null) {
      const back = steps.secondHit;
      put(
        'load-returned',
        back ? 'load came back onto the fifth wheel' : 'no load came back onto the fifth wheel',
        () => (back ? 'missed' : 'met'),
      );
    }
  }
  const { parkingBrakeSet: set } = steps;
  if (set !== null) {
    put('parking-brake-set', `the parking brake was ${set ? '' : 'not '}set`, () => (set ? 'met' : 'missed'));
  }
  return seen;
}

function stopSeen({ gotOut, stopSeconds }: StepsSeen, spread: number): Seen | null {
  if (stopSeconds !== null) {
    const looked =
      gotOut === null ? '' : gotOut ? ', and the driver got out to look' : ', and the driver stayed in the cab';
    const words =
      stopSeconds === 0 ? 'no stop short of the trailer' : `a stop of ${stopSeconds} s short of the trailer`;
    return {
      words: `${words}${looked}`,
      expected: ({ minSeconds }) => against(stopSeconds, Number(minSeconds), spread),
    };
  }
  if (gotOut !== true) return null;
  // Whoever stays in the cab may have stopped all the same: only a yes says something about the stop.
  return {
    words: 'the driver got out to look',
    expected: ({ minSeconds }) => (Number(minSeconds) <= outAndBackSeconds ? 'met' : 'open'),
  };
}

function pauseSeen(
  { pause, pauseSeconds, dumpUsed }: StepsSeen,
  times: WatchedEpisode['times'],
  spread: number,
): Seen | null {
  if (pause === null) return null;
  if (pause === 'none')
    return { words: 'no pause', expected: ({ minSeconds }) => (Number(minSeconds) > 0 ? 'missed' : 'met') };
  const [from, to] =
    pause === 'before-pull' ? (['dumpTime', 'pullOutTime'] as const) : (['holdStartTime', 'holdEndTime'] as const);
  const timed = (times.get(to)! - times.get(from)!) / 1000;
  const seconds = pauseSeconds ?? (timed >= 0 ? timed : null);
  if (seconds === null) return null;
  const where = pause === 'before-pull' ? 'before the pull' : "under the trailer's nose";
  return {
    words: `a pause of ${Number(seconds.toFixed(1))} s ${where}`,
    expected: ({ minSeconds, dumpedPause }) => {
      const expected = against(seconds, Number(minSeconds), spread);
      if (expected !== 'met') return expected;
      // It was the longest: where it does not count, another may have been nearly as long.
      const counts = pause === 'before-pull' ? dumpUsed === true : dumpedPause === 'either' || dumpUsed === false;
      return counts ? 'met' : 'open';
    },
  };
}

/** A duration of two presses of the stopwatch against a least duration. Exactly 0 is no duration at all. */
function against(seconds: number, least: number, spread: number): Expected {
  if (seconds === 0) return least > 0 ? 'missed' : 'met';
  if (seconds - spread >= least) return 'met';
  return seconds + spread < least ? 'missed' : 'open';
}
