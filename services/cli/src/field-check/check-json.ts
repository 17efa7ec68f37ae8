/** A field check as one JSON object for programs. Times are ISO 8601 with milliseconds and Z; shares carry their interval. */
import type { Interval } from '@gearhold/episodes';
import type { CheckResult } from './check-page.ts';
import type { FoundEpisode, RowFound, Tolerances } from './compare.ts';
import type { FalseMissed } from './totals.ts';
import type { Watched } from './watched.ts';

export function checkJson(result: CheckResult, sheet: string, tolerances: Tolerances): string {
  const { comparison, conclusion, totals } = result;
  const value = {
    sheet,
    conclusion: {
      enough: conclusion.enough,
      watched: totals.watched,
      needed: conclusion.needed,
      sentences: conclusion.sentences.map((sentence) => sentence.replaceAll('\u00a0', ' ')),
    },
    falseMissed: conclusion.falseMissed.map(accusation),
    unwatched: comparison.unwatched.map(({ found, row, missed }) => ({
      ...foundFields(found),
      vehicleId: found.wire.vehicleId,
      kind: found.wire.kind,
      line: row.line,
      missed: missed.map(({ check, reason }) => ({ check, reason })),
    })),
    notFound: comparison.notFound.map(({ row, nearest }) => ({
      ...rowFields(row),
      nearest: nearest && {
        kind: nearest.found.wire.kind,
        ...foundFields(nearest.found),
        apartSeconds: nearest.apartSeconds,
      },
    })),
    found: comparison.found.map(foundRow),
    noReadings: comparison.noReadings.map(rowFields),
    totals: { ...totals, unwatched: comparison.unwatched.length, watchedWithoutAny: comparison.quiet },
    tolerances,
  };
  return `${JSON.stringify(value, null, 2)}\n`;
}

function accusation({ row, step }: FalseMissed) {
  return { ...rowFields(row.row), ...foundFields(row.found), check: step.check, seen: step.seen, said: step.said };
}

function foundRow({ row, found, times, steps }: RowFound) {
  return {
    ...rowFields(row),
    ...foundFields(found),
    times: times.map(({ milestone, watchedMs, bounds, outsideSeconds }) => ({
      milestone,
      watched: iso(watchedMs),
      bounds: bounds && isoBounds(bounds),
      outsideSeconds,
    })),
    steps,
  };
}

function rowFields({ line, vehicleId, kind, fromMs, untilMs, yard, watcher, remarks }: Watched) {
  return { line, vehicleId, kind, watchedFrom: iso(fromMs), watchedUntil: iso(untilMs), yard, watcher, remarks };
}

function foundFields({ wire }: FoundEpisode) {
  return { episodeId: wire.episodeId, loadTransferTime: wire.loadTransferTime };
}

function isoBounds({ low, high }: Interval) {
  return { low: iso(low), high: iso(high) };
}

function iso(timeMs: number): string {
  return new Date(Math.round(timeMs)).toISOString();
}
