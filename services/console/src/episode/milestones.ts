/** The milestones of an episode as a story: in the order of time, each with the words for it and the bounds between which it lies. */
import type { StoredEpisode } from '../server/messages.ts';

type Episode = StoredEpisode['episode'];

export interface Milestone {
  readonly name: string;
  /** What happened, as a part of a sentence. */
  readonly words: string;
  /** A word or two for the trace. */
  readonly short: string;
  readonly best: string;
  readonly low: string;
  readonly high: string;
}

const told: Readonly<Record<string, readonly [words: string, short: string]>> = {
  approachTime: ['the last reverse run begins', 'approach'],
  contactTime: ['load begins to come on', 'contact'],
  seatedTime: ['the kingpin is home: standing with the load on', 'seated'],
  tugTestTimes: ['a tug test, forward against the trailer', 'tug test'],
  departureTime: ['moves off with the trailer', 'departure'],
  standTime: ['comes to rest', 'stand'],
  dumpTime: ['the air springs are exhausted', 'dump'],
  pullOutTime: ['the forward movement that leaves the trailer begins', 'pull-out'],
  releaseTime: ['the trailer no longer rests on the fifth wheel', 'release'],
  holdStartTime: ['a pause begins', 'pause begins'],
  holdEndTime: ['the pause ends', 'pause ends'],
  clearTime: ['moves on for good', 'clear'],
};

/** Milestones that the data place, the earliest first. */
export function milestonesOf(episode: Episode): Milestone[] {
  const found: Milestone[] = [];
  for (const [name, at] of Object.entries(episode.milestones)) {
    if (at === null || at === undefined) continue;
    const [words, short] = told[name] ?? [name, name];
    const bounds = episode.milestoneBounds?.[name];
    for (const [place, best] of [at].flat().entries()) {
      const { low, high } = [bounds ?? { low: best, high: best }].flat()[place] ?? { low: best, high: best };
      found.push({ name, words, short, best, low, high });
    }
  }
  return found.sort((a, b) => (a.best < b.best ? -1 : a.best > b.best ? 1 : 0));
}

/** Milestones of this kind of episode that the data cannot place, by their words. */
export function unplacedOf(episode: Episode): string[] {
  return Object.entries(episode.milestones)
    .filter(([name, at]) => name !== 'dumpTime' && (at === null || (Array.isArray(at) && at.length === 0)))
    .map(([name]) => told[name]?.[1] ?? name);
}
