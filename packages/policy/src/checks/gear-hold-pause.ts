/**
 * Gear-hold pause: before a trailer is left, the landing gear is given time to show that it holds.
 *
 * Two pauses count: (a) after a dump, from the end of the dump to the pull; (b) after the pull, a standstill with the frame
 * still under the trailer's nose. Of several the longest counts, none is a pause of 0 s. `low` counts only what is proven to
 * be such a pause; `high` is the longest that the samples leave room for. Seconds; times in ms since the epoch.
 */
import { secondsBetween, type Uncoupling } from '@gearhold/episodes';
import { z } from 'zod';
import {
  cannotJudge,
  defineCheck,
  type Finding,
  found,
  inWords,
  type Limits,
  notAsked,
  yardTractor,
} from '../check.ts';
import { heavierBefore, offBefore, sinceFreeingPull } from '../evidence/earlier-pause.ts';
import { dumpedByMs, dumpedFromMs, lastRestingMs, loadBegunOff, loadLastOnMs } from '../evidence/load-fall.ts';
import { leastSinceRelease, mostSinceRelease, type Pull, pastSlackMs } from '../evidence/pull-travel.ts';
import { lastAtOrBefore, samplesOf } from '../evidence/samples.ts';
import { type Room, roomForStandstill, type Stretch, sureStandstills } from '../evidence/standing.ts';
import { measuredBetween } from '../verdict.ts';

export const gearHoldPause = defineCheck({
  name: 'gear-hold-pause',
  title: 'pause that lets the landing gear show that it holds',
  kinds: ['uncoupling'],
  needs: ['speedKph', 'suspensionKpa'],
  uses: ['axleLoadKg', 'gear', 'parkingBrake', 'serviceBrake', 'suspensionDump', 'ignition'],
  gapOf: yardTractor,
  limits: {
    minSeconds: {
      schema: z.number().min(0).max(3600),
      meaning: 'Shortest pause, s.',
      builtIn: 30,
      source: 'common practice in the trade; no standard sets it',
    },
    dumpedPause: {
      schema: z.enum(['either', 'before-pull']),
      meaning: 'Which pause counts after a dump: either, or only the one before the pull.',
      builtIn: 'either',
      source: 'published manuals teach both orders (International ProStar+ p. 197; MAC dump trailers p. 30)',
    },
    underMetres: {
      schema: z.number().min(0).max(20),
      meaning: "Travel after release up to which the frame is surely under the trailer's nose, m.",
      builtIn: 2,
      source: "house policy, to be set to the fleet's own tractors",
    },
    clearMetres: {
      schema: z.number().min(0).max(20),
      meaning: "Travel after release past which the frame is out from under the trailer's nose, m.",
      builtIn: 3,
      source: "house policy, to be set to the fleet's own tractors",
    },
  },
  concern: 'driver',
  urgency: 'routine',
  because: 'the driver decides how long to wait; the trailer stood, so nobody is in danger now',
  source:
    'public CDL manual, uncoupling: pull forward until the fifth wheel is out, frame still under, stop and look at the gear',
  judge: (episode, limits, { vehicle }) => {
    const gap = yardTractor({ vehicle });
    if (gap !== null) return notAsked(limits, gap.why);
    return judge(episode, limits);
  },
});

type PauseLimits = Limits & {
  readonly minSeconds: number;
  readonly dumpedPause: 'either' | 'before-pull';
  readonly underMetres: number;
  readonly clearMetres: number;
};

interface Pause {
  readonly low: number;
  readonly high: number | null;
  readonly best: number;
  readonly window: Stretch | null;
}

const noPause: Pause = { low: 0, high: 0, best: 0, window: null };

function judge(episode: Uncoupling, limits: PauseLimits): Finding {
  const { pullOutTime: pullOut, releaseTime: release, clearTime: clear } = episode.milestones;
  if (samplesOf(episode.evidence, 'speedKph').times.length === 0) return cannotJudge(limits, 'speed was not reported');
  if (pullOut === null) return cannotJudge(limits, 'the readings do not show when the tractor pulled out');
  const pull: Pull = { pullOut, release, lastRestingMs: lastRestingMs(episode) };
  const before = pauseBeforePull(episode, pull);
  const after = pauseAfterPull(episode, pull, limits);
  const pause = longerOf(longerOf(before, after), pauseOfAnotherReading(episode, pull, limits));
  const measured = measuredBetween(pause.best, pause.low, pause.high, 's');
  const cutOff = !episode.closed && clear === null;
  const window = pause.window ?? { startMs: pullOut.best, endMs: clear?.best ?? episode.endTime };
  const finding = found({
    measured,
    ask: 'at-least',
    against: limits.minSeconds,
    limit: limits,
    window,
    says: inWords(pause.high === 0 ? noPauseWording : wording, { value: limits.minSeconds, unit: 's' }),
  });
  if (cutOff && finding.outcome !== 'undetermined' && (finding.outcome === 'missed' || pause.high === null)) {
    return { ...cannotJudge(limits, 'the readings end before the tractor had moved on', finding.measured), window };
  }
  return finding;
}

/** Pause (a): from the end of a dump to the pull. */
function pauseBeforePull(episode: Uncoupling, { pullOut }: Pull): Pause {
  const { dumpTime: dump, standTime: stand } = episode.milestones;
  const { loadTransferTime: transfer, suspensionDumped: dumped, evidence } = episode;
  // A load that may have gone off before the pull was dumped, or left by a pull that the speed sensor did not see.
  if (dumped === false && transfer.low >= pullOut.low) return noPause;
  if (dump === null || dumped !== true) {
    // Whatever happened, no pause began before the last sample that shows the whole load on.
    const earliest = Math.min(loadLastOnMs(episode) ?? Number.POSITIVE_INFINITY, dump?.low ?? Number.POSITIVE_INFINITY);
    const from = Number.isFinite(earliest) ? earliest : (stand?.low ?? null);
    const high = from === null ? null : Math.max(0, (pullOut.high - from) / 1000);
    const best = dump === null ? 0 : secondsBetween(dump, pullOut).best;
    return { low: 0, high, best, window: dump === null ? null : { startMs: dump.best, endMs: pullOut.best } };
  }
  const between = secondsBetween({ ...dump, low: Math.min(dump.low, dumpedFromMs(episode, { pullOut })) }, pullOut);
  let low = 0;
  const doneMs = Math.max(dump.high, dumpedByMs(episode, dump.best, pullOut.low) ?? dump.high);
  const start = evidence.track.timesMs[0] ?? dump.low;
  for (const stretch of sureStandstills(evidence, episode.loadSignal, start, pullOut.high)) {
    const inside = Math.min(stretch.endMs, pullOut.low) - Math.max(stretch.startMs, doneMs);
    low = Math.max(low, inside / 1000);
  }
  const best = Math.max(low, between.best);
  return {
    low: Math.min(low, between.high),
    high: between.high,
    best,
    window: { startMs: dump.best, endMs: pullOut.best },
  };
}

/** What another course of events, or a kinder reading of the contract, would count: for the upper bound only. */
function pauseOfAnotherReading(episode: Uncoupling, pull: Pull, limits: PauseLimits): Pause {
  const never = Number.POSITIVE_INFINITY;
  const off = Math.min(offBefore(episode, pull) ?? never, heavierBefore(episode, pull) ?? never);
  const counts = episode.suspensionDumped === true && limits.dumpedPause === 'either';
  const freed = counts ? sinceFreeingPull(episode, pull) : null;
  const since = Math.min(off, freed ?? never);
  return { ...noPause, high: Math.max(0, (pull.pullOut.high - since) / 1000) };
}

/** Pause (b): a standstill after the pull, the frame still under the nose. */
function pauseAfterPull(episode: Uncoupling, pull: Pull, limits: PauseLimits): Pause {
  const { evidence, suspensionDumped: dumped, loadSignal } = episode;
  if (dumped === true && limits.dumpedPause === 'before-pull') return noPause;
  const end = evidence.track.timesMs.at(-1) ?? pull.pullOut.high;
  let pause = noPause;
  for (const room of roomsAfterPull(episode, pull, end)) {
    if (leastSinceRelease(evidence, pull, room.startMs) > limits.clearMetres) continue;
    const high = room.openEnd ? null : (room.endMs - room.startMs) / 1000;
    pause = longerOf(pause, { low: 0, high, best: 0, window: null });
  }
  // The samples end before the frame is surely clear: a pause may lie after them.
  const lastSample = samplesOf(evidence, 'speedKph').times.at(-1)!;
  if (leastSinceRelease(evidence, pull, lastSample) <= limits.clearMetres) pause = { ...pause, high: null };
  for (const stretch of sureStandstills(evidence, loadSignal, pull.pullOut.high, end)) {
    const farthest = mostSinceRelease(evidence, pull, stretch.startMs);
    const nearest = leastSinceRelease(evidence, pull, stretch.startMs);
    if (nearest > limits.clearMetres) continue;
    const seconds = (stretch.endMs - stretch.startMs) / 1000;
    const counts =
      farthest <= limits.underMetres &&
      loadWasGoing(episode, pull, stretch) &&
      (dumped === false || limits.dumpedPause === 'either');
    const likely = (nearest + Math.min(farthest, nearest + 10)) / 2 <= (limits.underMetres + limits.clearMetres) / 2;
    pause = longerOf(pause, {
      low: counts ? seconds : 0,
      high: seconds,
      best: counts || likely ? seconds : 0,
      window: stretch,
    });
  }
  return withHoldMilestones(episode, pause);
}

/** Where the samples leave room for a standstill after the pull has begun. */
function roomsAfterPull(episode: Uncoupling, pull: Pull, end: number): Room[] {
  const { evidence, loadTransferTime: transfer, suspensionDumped: dumped } = episode;
  const { pullOut } = pull;
  // A movement of less than the slack is no pull yet.
  const movedMs = Math.min(pastSlackMs(evidence, pull), end);
  const rooms = roomForStandstill(evidence, movedMs, end).filter((room) => {
    // Up to the first moving sample the tractor has not pulled yet, unless a lost sample hides a pull and a stop.
    return room.endMs > pullOut.high || pullOut.high - lastZeroBefore(episode, pullOut.high) > proofGap(episode);
  });
  const standMs = episode.milestones.standTime?.low ?? Number.NEGATIVE_INFINITY;
  const goneEarly = transfer.low < pullOut.low || loadBegunOff(episode, standMs, pullOut.low);
  if (dumped === true || !goneEarly) return rooms;
  // Load went off before the visible pull: one too slow for the sensor may have come before, and the pause after it.
  const from = loadLastOnMs(episode) ?? episode.milestones.standTime?.low ?? evidence.track.timesMs[0] ?? pullOut.low;
  return [...roomForStandstill(evidence, Math.min(from, pullOut.low), end), ...rooms];
}

function proofGap(episode: Uncoupling): number {
  return samplesOf(episode.evidence, 'speedKph').proofGapMs;
}

function lastZeroBefore(episode: Uncoupling, timeMs: number): number {
  const speed = samplesOf(episode.evidence, 'speedKph');
  const i = lastAtOrBefore(speed, timeMs - 1);
  return i >= 0 && speed.values[i] === 0 ? speed.times[i]! : Number.NEGATIVE_INFINITY;
}

/** Whether the standstill begins after the load began to go off, or the fall ends during it. */
function loadWasGoing(episode: Uncoupling, { pullOut }: Pull, stretch: Stretch): boolean {
  if (episode.suspensionDumped === true) return true;
  if (loadBegunOff(episode, pullOut.low, stretch.startMs)) return true;
  // Without a dump, a load that goes off at standstill was set going by the pull.
  if (episode.suspensionDumped !== false) return false;
  return episode.loadTransferTime.high <= stretch.endMs || loadBegunOff(episode, pullOut.low, stretch.endMs);
}

/** The tracker's own hold is never longer than the upper bound. */
function withHoldMilestones(episode: Uncoupling, pause: Pause): Pause {
  const { holdStartTime: start, holdEndTime: end } = episode.milestones;
  if (start === null || pause.high === null) return pause;
  const high = end === null ? null : Math.max(pause.high, (end.high - start.low) / 1000);
  return { ...pause, high };
}

function longerOf(a: Pause, b: Pause): Pause {
  const longer = b.best > a.best ? b : a;
  const high = a.high === null || b.high === null ? null : Math.max(a.high, b.high);
  return { low: Math.max(a.low, b.low), high, best: longer.best, window: longer.window ?? a.window ?? b.window };
}

const wording = {
  met: 'The landing gear was given {measured} {sure} to show that it holds; {asked} {asked:is|are} asked.',
  missed:
    'The trailer was left after a pause of {measured} {sure}; the landing gear is to be given {asked} to show that it holds.',
  undetermined:
    'the pause before the trailer was left lasted {measured} {sure}, and the readings do not show on which side of {asked} it was.',
};
const noPauseWording = {
  ...wording,
  missed: 'The trailer was left without a pause; the landing gear is to be given {asked} to show that it holds.',
};
