/**
 * The milestones of found episodes stand in the order in which the public manual teaches the steps.
 *
 * Source: AAMVA model commercial driver licence manual, section 6 (combination vehicles), coupling and uncoupling; the step
 * numbers are those of current state editions, where the section is 6.4. Some step titles were quoted from memory (coupling
 * 7 and 8, uncoupling 2 to 5). The manual says nothing of exhausting the air springs: vehicle makers teach it both before
 * and after the first pull, so a dump has no place in this order. Readings: simulated.
 */
import { type Episode, FleetTracker, type Interval } from '@gearhold/episodes';
import { generateSet } from '@gearhold/fixtures';
import { describe, expect, test } from 'vitest';

const found: Episode[] = [];
const fleet = new FleetTracker({ onEpisode: (episode) => found.push(episode) });
generateSet('clean-1hz', 'held-out-manual', 4, (id, timeMs, driverId, values) => {
  fleet.accept(id, timeMs, driverId, values, 0);
});
fleet.finish();

type Step = readonly [step: string, milestone: Interval | null];

/** Milestones that the data placed, each with the one before it. */
function pairs(steps: readonly Step[]): { step: string; at: Interval; before: string; earlier: Interval }[] {
  const placed = steps.filter((step): step is readonly [string, Interval] => step[1] !== null);
  return placed.slice(1).map(([step, at], i) => {
    const [before, earlier] = placed[i] ?? ['', at];
    return { step, at, before, earlier };
  });
}

/** Steps whose printed instant lies before that of the step above them: for milestones that all rest on motion. */
function outOfOrder(steps: readonly Step[]): string[] {
  return pairs(steps)
    .filter(({ at, earlier }) => at.best < earlier.best)
    .map(({ step, before }) => `${step} is printed before ${before}`);
}

/** Steps that are proven to lie before the step above them: for milestones that rest on pressure, which lags. */
function provenOutOfOrder(steps: readonly Step[]): string[] {
  return pairs(steps)
    .filter(({ at, earlier }) => at.high < earlier.low)
    .map(({ step, before }) => `${step} surely comes before ${before}`);
}

const couplings = found.filter((episode) => episode.kind === 'coupling');
const uncouplings = found.filter((episode) => episode.kind === 'uncoupling');

function name(episode: Episode): string {
  return `${episode.vehicleId} ${new Date(episode.startTime).toISOString()}`;
}

test('there are episodes of both kinds to look at, with their milestones', () => {
  expect(couplings.length).toBeGreaterThanOrEqual(4);
  expect(uncouplings.length).toBeGreaterThanOrEqual(4);
  expect(couplings.some((episode) => episode.milestones.tugTestTimes.length > 0)).toBe(true);
  expect(uncouplings.some((episode) => episode.milestones.holdStartTime !== null)).toBe(true);
  expect(uncouplings.some((episode) => episode.suspensionDumped === false)).toBe(true);
});

describe('coupling', () => {
  test('back under, kingpin home, tug test, drive away', () => {
    for (const episode of couplings) {
      const { approachTime, seatedTime, tugTestTimes, departureTime } = episode.milestones;
      const steps: Step[] = [
        ['step 10, back under slowly', approachTime],
        ['step 10, stop when the kingpin locks', seatedTime],
        ...tugTestTimes.map((time): Step => ['step 11, pull gently forward', time]),
        ['after step 16, drive away', departureTime],
      ];
      expect(outOfOrder(steps), name(episode)).toEqual([]);
    }
  });

  // Step 6 wants the nose low enough to be lifted on the way in; a nose that stood high loads only later, but always
  // between backing under and driving away.
  test('the load comes on between backing under and driving away', () => {
    for (const episode of couplings) {
      const { approachTime, contactTime, departureTime } = episode.milestones;
      const steps: Step[] = [
        ['step 10, back under slowly', approachTime],
        ['step 6, the tractor lifts the trailer a little', contactTime],
        ['after step 16, drive away', departureTime],
      ];
      expect(provenOutOfOrder(steps), name(episode)).toEqual([]);
    }
  });
});

describe('uncoupling', () => {
  test('without a dump: park, pull forward until the fifth wheel is out, stop under the nose, drive clear', () => {
    for (const episode of uncouplings) {
      if (episode.suspensionDumped !== false) continue;
      const { standTime, pullOutTime, holdStartTime, holdEndTime, clearTime } = episode.milestones;
      const steps: Step[] = [
        ['step 1, position the rig', standTime],
        ['step 7, pull forward until the fifth wheel comes out', pullOutTime],
        ['step 7, stop with the frame still under', holdStartTime],
        ['step 9, the ground and the gear were looked at', holdEndTime],
        ['step 10, drive clear', clearTime],
      ];
      expect(outOfOrder(steps), name(episode)).toEqual([]);
    }
  });

  test('with a dump, before or after the first pull: park, pull out, drive clear, and a pause within', () => {
    for (const episode of uncouplings) {
      const { standTime, pullOutTime, holdStartTime, holdEndTime, clearTime } = episode.milestones;
      const pull: Step[] = [
        ['step 1, position the rig', standTime],
        ['step 7, pull forward', pullOutTime],
        ['step 10, drive clear', clearTime],
      ];
      const pause: Step[] = [
        ['step 1, position the rig', standTime],
        ['the pause begins', holdStartTime],
        ['the pause ends', holdEndTime],
        ['step 10, drive clear', clearTime],
      ];
      expect([...outOfOrder(pull), ...outOfOrder(pause)], name(episode)).toEqual([]);
    }
  });

  // With the springs exhausted the trailer may be down on its legs before the pull.
  test('the fifth wheel gives the trailer up between parking and driving clear', () => {
    for (const episode of uncouplings) {
      const { standTime, releaseTime, clearTime } = episode.milestones;
      const steps: Step[] = [
        ['step 1, position the rig', standTime],
        ['step 7, the fifth wheel is out', releaseTime],
        ['step 10, drive clear', clearTime],
      ];
      expect(provenOutOfOrder(steps), name(episode)).toEqual([]);
    }
  });
});
