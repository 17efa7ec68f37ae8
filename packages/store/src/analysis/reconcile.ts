/**
 * Which stored episode is which found one. An episode of the same kind whose time overlaps a stored one is that one, seen
 * better; each is taken at most once, those whose load transfers lie closest first. An active one goes before one that was
 * withdrawn, which comes back only where nothing else overlaps.
 */

export interface EpisodeSpan {
  readonly kind: string;
  /** ms since the epoch; both ends included. */
  readonly startMs: number;
  readonly loadTransferMs: number;
  readonly endMs: number;
}

export interface StoredSpan extends EpisodeSpan {
  readonly episodeId: string;
  readonly state: 'active' | 'withdrawn';
}

/** For each found episode its stored one, or null where it is new. All are of one vehicle. */
export function reconcile<Stored extends StoredSpan>(
  stored: readonly Stored[],
  found: readonly EpisodeSpan[],
): (Stored | null)[] {
  const matches: (Stored | null)[] = found.map(() => null);
  const taken = new Set<Stored>();
  for (const state of ['active', 'withdrawn'] as const) {
    const pairs = stored
      .filter((episode) => episode.state === state)
      .flatMap((episode) =>
        found.flatMap((candidate, index) =>
          overlaps(episode, candidate)
            ? [{ episode, index, apartMs: Math.abs(episode.loadTransferMs - candidate.loadTransferMs) }]
            : [],
        ),
      )
      .sort(
        (a, b) => a.apartMs - b.apartMs || a.index - b.index || (a.episode.episodeId < b.episode.episodeId ? -1 : 1),
      );
    for (const { episode, index } of pairs) {
      if (taken.has(episode) || matches[index] !== null) continue;
      taken.add(episode);
      matches[index] = episode;
    }
  }
  return matches;
}

function overlaps(a: EpisodeSpan, b: EpisodeSpan): boolean {
  return a.kind === b.kind && a.startMs <= b.endMs && b.startMs <= a.endMs;
}
