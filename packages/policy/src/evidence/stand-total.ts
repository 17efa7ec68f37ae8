/** How long a vehicle stood altogether between two uncertain instants, s: at least, and at most. */
import type { Evidence, Interval } from '@gearhold/episodes';
import { type LoadSignal, roomForStandstill, type Stretch, sureStandstills } from './standing.ts';

/** Seconds of proven standstill, and of all that the samples leave room for. */
export function standTotal(
  evidence: Evidence,
  loadSignal: LoadSignal,
  from: Interval,
  to: Interval,
): { low: number; high: number } {
  const track = evidence.track.timesMs;
  const sure = sureStandstills(evidence, loadSignal, track[0] ?? from.low, to.high);
  const low = overlap(sure, from.high, to.low);
  const high = overlap(roomForStandstill(evidence, from.low, to.high), from.low, to.high);
  return { low, high: Math.max(low, high) };
}

function overlap(stretches: readonly Stretch[], fromMs: number, toMs: number): number {
  let ms = 0;
  for (const { startMs, endMs } of stretches) ms += Math.max(0, Math.min(endMs, toMs) - Math.max(startMs, fromMs));
  return ms / 1000;
}
