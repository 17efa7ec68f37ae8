/**
 * Which found episode is which true one: same vehicle, same kind, load transfer within 15 s, the nearest first. A true
 * episode is found at most once.
 */
import type { TrueEpisode } from '@gearhold/fixtures';
import type { FoundEpisode } from './wire.ts';

export const withinMs = 15_000;

export interface Matched {
  readonly pairs: readonly { readonly truth: TrueEpisode; readonly found: FoundEpisode }[];
  readonly missing: readonly TrueEpisode[];
  readonly spurious: readonly FoundEpisode[];
}

export function match(truth: readonly TrueEpisode[], found: readonly FoundEpisode[]): Matched {
  const candidates: { t: number; f: number; apartMs: number }[] = [];
  const byKey = Map.groupBy(truth.keys(), (t) => `${truth[t]!.vehicleId} ${truth[t]!.kind}`);
  found.forEach((episode, f) => {
    const timeMs = Date.parse(episode.loadTransferTime);
    for (const t of byKey.get(`${episode.vehicleId} ${episode.kind}`) ?? []) {
      const apartMs = Math.abs(truth[t]!.loadTransferTime - timeMs);
      if (apartMs <= withinMs) candidates.push({ t, f, apartMs });
    }
  });
  candidates.sort((a, b) => a.apartMs - b.apartMs);
  const truthTaken = new Set<number>();
  const foundTaken = new Set<number>();
  const pairs: { truth: TrueEpisode; found: FoundEpisode }[] = [];
  for (const { t, f } of candidates) {
    if (truthTaken.has(t) || foundTaken.has(f)) continue;
    truthTaken.add(t);
    foundTaken.add(f);
    pairs.push({ truth: truth[t]!, found: found[f]! });
  }
  return {
    pairs,
    missing: truth.filter((_, t) => !truthTaken.has(t)),
    spurious: found.filter((_, f) => !foundTaken.has(f)),
  };
}
