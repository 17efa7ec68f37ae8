/**
 * `suspension-response`: 1 where the load began to come on before the kingpin was home, 0 where it did not; 0 to 1 where
 * the rows allow both.
 */
import { type Approach, approachOf } from './approach.ts';
import { errorOf, mean } from './load.ts';
import { atLeast, type Bounds, type TrueAnchor, unknownBounds } from './row.ts';
import { samplesIn, type View } from './series.ts';

/** Pressure begins to rise within a second or two of the load; one more for its samples. */
const lagMs = 3000;
/** Samples before and after that are compared, at least and at most. */
const fewest = 5;
const most = 30;
const spanMs = 30_000;
/** A rise of more than this share of the transfer, or this many kPa, is load on the fifth wheel. */
const littleShare = 0.005;
const littleKpa = 0.5;

export function suspensionResponse(view: View, episode: TrueAnchor): Bounds {
  const approach = approachOf(view, episode);
  if (approach.load === null || approach.before === null) return unknownBounds;
  const low = cameBeforeHome(view, approach) ? 1 : 0;
  // Exhausted springs lie on their stops and show no load, so nothing is proven by their silence.
  const high = low === 0 && !episode.dumped && neverCame(approach, episode.startTime) ? 0 : 1;
  return atLeast(1, low, high);
}

/**
 * A sample shows load while another, no earlier, shows the truck still moving; or while it is in reverse gear with every
 * reported brake off, where moving pressure contradicts a standstill.
 */
function cameBeforeHome(view: View, approach: Approach): boolean {
  const at = approach.contactHighMs;
  if (at <= approach.homeLowMs) return true;
  if (at > approach.homeHighMs) return false;
  const released = view.flag('parkingBrake', at) === false && view.flag('serviceBrake', at) === false;
  return released && (view.at('gear', at)?.value ?? 0) < 0;
}

/** The mean after the kingpin is home is still the mean from before, within what noise and steps can hide. */
function neverCame(approach: Approach, startMs: number): boolean {
  const { load, before } = approach;
  const from = approach.homeHighMs + lagMs;
  if (load === null || before === null || approach.contactLowMs < from) return false;
  const earlier = samplesIn(load.series, startMs - spanMs, startMs).filter(
    (s) => Math.abs(s.value - before) <= load.tolerance,
  );
  const later = samplesIn(load.series, from, Math.min(from + spanMs, approach.contactLowMs));
  if (earlier.length < fewest || later.length < fewest) return false;
  const [a, b] = [earlier.slice(-most), later.slice(0, most)];
  const rise = mean(b) - mean(a) + errorOf(load, a) + errorOf(load, b);
  return rise <= Math.max(littleKpa * load.perKpa, littleShare * load.transfer);
}
