/**
 * How fast the truck may have been going at every instant: time is cut into cells of at most 0.1 s, and each cell gets the
 * slowest and the fastest speed, m/s, of all courses that fit the samples. `fastest` 0 is a proven standstill, `slowest` 0 a
 * possible one. Two tables: one for a bound that could prove `met`, one for a bound that could prove `missed`.
 */
import { holds, type Link, type Proof, type Sample, samplesIn, type View } from './series.ts';

export type Way = 'forward' | 'reverse' | 'unknown';

export interface Cell {
  readonly fromMs: number;
  readonly toMs: number;
  readonly fastest: number;
  readonly slowest: number;
  readonly way: Way;
}

export interface MotionRules {
  readonly proof: Proof;
  /** From and to, ms. */
  readonly window: readonly [number, number];
  /** The load signal moves where its range exceeds this within a second either side; its unit. */
  readonly loadMoves: number;
  /** A tractor known to be backing: zeros in reverse gear, or without a reported gear, prove no standstill by themselves. */
  readonly backing: boolean;
}

const gridMs = 100;
/** The ramps to and from the blind speed. */
const rampMs = 2000;
/** Taken until the blind speed is known, km/h; and the most that is believed. */
const usualBlindKph = 4;
const mostBlindKph = 6;
/** Change of speed that no truck at walking pace exceeds, m/s2: hard braking, common practice. */
const hardestChange = 3;
const fastestTruck = 35;
/** Torque moves where it changes by more than this, %: common practice. */
const torqueMovesPct = 10;
/** The pedal stands for torque where that is not reported, % above released. */
const pedalMovesPct = 2;
const samePlaceMetres = 10;
/** Common practice. */
const rebrakeMs = 6000;
/** Time either side over which a move of the position is looked for. */
const placeSpanMs = 15_000;

const metresASecond = (kph: number): number => kph / 3.6;

function blindSpeed(view: View): number {
  return metresASecond(Math.min(mostBlindKph, view.known.blindSpeedKph ?? usualBlindKph));
}

/** Cells of the window in time order, without gaps. */
export function motion(view: View, rules: MotionRules): Cell[] {
  const speed = view.series('speedKph');
  const instants = cutTime(view, rules.window);
  const samples = speed?.samples ?? [];
  const standing = speed === null ? [] : provenStandstills(view, samples, speed.links, rules);
  const ways = samples.slice(1).map((b, a) => wayBetween(view, samples[a].timeMs, b.timeMs));
  let i = -1;
  return instants.slice(1).map((toMs, c) => {
    const fromMs = instants[c];
    while (i + 1 < samples.length && samples[i + 1].timeMs <= fromMs) i += 1;
    if (i < 0 || i + 1 >= samples.length) return { fromMs, toMs, fastest: fastestTruck, slowest: 0, way: 'unknown' };
    const way = ways[i];
    if (standing.some(([from, to]) => from <= fromMs && toMs <= to))
      return { fromMs, toMs, fastest: 0, slowest: 0, way };
    const joined = holds(speed!.links[i], rules.proof);
    const blind = blindSpeed(view);
    const [slowest, fastest] = speedsBetween(samples[i], samples[i + 1], joined, fromMs, toMs, blind);
    const ramp = speed!.links[i] === 'shown' ? rampBelowBlind(view, samples, i, fromMs) * blind : fastestTruck;
    return { fromMs, toMs, fastest: Math.min(fastest, Math.max(ramp, slowest)), slowest, way };
  });
}

/** Ticks of the grid and every instant at which something was sampled. */
function cutTime(view: View, [from, to]: readonly [number, number]): number[] {
  const instants = new Set<number>();
  for (let t = from; t < to; t += gridMs) instants.add(t);
  instants.add(to);
  for (const row of view.rows) instants.add(row.timeMs);
  for (const sample of view.series('speedKph')?.samples ?? []) instants.add(sample.timeMs);
  return [...instants].filter((t) => t >= from && t <= to).sort((a, b) => a - b);
}

/** Slowest and fastest in a cell between two samples. `joined`: the course lies between the two, else only within reach. */
function speedsBetween(
  a: Sample,
  b: Sample,
  joined: boolean,
  from: number,
  to: number,
  blind: number,
): [number, number] {
  const least = [a, b].map((s) => metresASecond(Math.max(0, s.value - s.slack)));
  // A reading of 0 hides everything up to the blind speed.
  const most = [a, b].map((s) => {
    const reading = metresASecond(s.value + s.slack);
    return s.value === 0 ? Math.max(blind, reading) : reading;
  });
  const sinceA = (to - a.timeMs) / 1000;
  const untilB = (b.timeMs - from) / 1000;
  const floor = Math.max(0, least[0] - hardestChange * sinceA, least[1] - hardestChange * untilB);
  if (joined) return [Math.max(floor, Math.min(...least)), Math.max(...most)];
  return [floor, Math.min(fastestTruck, most[0] + hardestChange * sinceA, most[1] + hardestChange * untilB)];
}

/**
 * Share of the blind speed that a truck braking to a stop can still have: it falls to 0 within the ramp. Counted from the
 * first of the zeros that the driver brakes through; more than any speed where the samples are no such zeros.
 */
function rampBelowBlind(view: View, samples: readonly Sample[], i: number, timeMs: number): number {
  const braking = (s: Sample): boolean => s.value === 0 && held(view, s.timeMs);
  if (!braking(samples[i]) || !braking(samples[i + 1])) return Number.POSITIVE_INFINITY;
  let first = i;
  while (first > 0 && samples[i].timeMs - samples[first].timeMs < rampMs && braking(samples[first - 1])) first -= 1;
  return Math.max(0, 1 - (timeMs - samples[first].timeMs) / rampMs);
}

/** Stretches of proven standstill, ms: zeros that stand and that nothing contradicts, less the ramps. */
function provenStandstills(
  view: View,
  samples: readonly Sample[],
  links: readonly Link[],
  rules: MotionRules,
): [number, number][] {
  const found: [number, number][] = [];
  for (let first = 0; first < samples.length; first++) {
    let last = first;
    while (last + 1 < samples.length && standsUntilNext(view, samples, links, last, rules)) last += 1;
    const [from, to] = lessRamps(view, samples, first, last);
    if (last > first && from < to) found.push([from, to]);
    first = last;
  }
  return found;
}

function standsUntilNext(
  view: View,
  samples: readonly Sample[],
  links: readonly Link[],
  i: number,
  rules: MotionRules,
): boolean {
  if (samples[i].value !== 0 || !staysZero(view, samples, links, i, rules)) return false;
  return !contradicted(view, samples[i].timeMs, samples[i + 1].timeMs, rules);
}

/** Whether the speed stays 0 from sample i to the next, both reading 0. */
function staysZero(
  view: View,
  samples: readonly Sample[],
  links: readonly Link[],
  i: number,
  rules: MotionRules,
): boolean {
  const a = samples[i];
  const b = samples[i + 1];
  if (b.value !== 0) return false;
  if (links[i] === 'shown') return true;
  if (links[i] === 'agreed' && rules.proof === 'met') return securedAt(view, a.timeMs) && securedAt(view, b.timeMs);
  if (links[i] === 'agreed') return bracedBetween(view, a.timeMs, b.timeMs, rules);
  // A silence of the whole vehicle between two rows that both stand, braked or switched off, at one place.
  if (view.rows.some((row) => row.timeMs > a.timeMs && row.timeMs < b.timeMs)) return false;
  const off = (t: number): boolean => view.flag('ignition', t) === false;
  const secured = (t: number): boolean => view.flag('parkingBrake', t) === true || off(t);
  const moved = metresApart(view, a.timeMs, b.timeMs);
  return secured(a.timeMs) && secured(b.timeMs) && (moved === null || moved <= samePlaceMetres);
}

/**
 * What two samples over 1.5 s apart must show for a proven standstill between them: the parking brake, or neutral. A foot
 * on the brake in a gear agrees as well, but a short pull fits between two such samples unseen.
 */
function securedAt(view: View, timeMs: number): boolean {
  return view.flag('parkingBrake', timeMs) === true || view.at('gear', timeMs)?.value === 0;
}

/**
 * Over a gap that a bound for `missed` may fill with any course: to let the parking brake off, move, stop and apply it again
 * takes longer than a gap of 6 s, so that two samples with it applied, and no load that moves, still show one standstill.
 */
function bracedBetween(view: View, from: number, to: number, rules: MotionRules): boolean {
  const applied = view.flag('parkingBrake', from) === true && view.flag('parkingBrake', to) === true;
  return applied && to - from <= rebrakeMs && !loadMoves(view, from, to, rules.loadMoves);
}

/** Brake applied, in neutral, or the brake pedal pressed. */
function held(view: View, timeMs: number): boolean {
  return (
    view.flag('parkingBrake', timeMs) === true ||
    view.flag('serviceBrake', timeMs) === true ||
    view.at('gear', timeMs)?.value === 0
  );
}

/**
 * Zeros may be more than the standstill by the ramps to and from the blind speed, at most 2 s each. At the end a hold rules
 * the ramp out: whoever pulls off lets go first. At the beginning only the parking brake does, since a truck that brakes to
 * a stop below the blind speed reads 0 with the pedal pressed, and may roll in neutral.
 */
function lessRamps(view: View, samples: readonly Sample[], first: number, last: number): [number, number] {
  const zeros = samples.slice(first, last + 1).map((s) => s.timeMs);
  const firstBraked = zeros.find((t) => view.flag('parkingBrake', t) === true);
  const lastHeld = zeros.findLast((t) => held(view, t));
  const from = Math.min(zeros[0] + rampMs, firstBraked ?? Number.POSITIVE_INFINITY);
  const to = Math.max(zeros[zeros.length - 1] - rampMs, lastHeld ?? Number.NEGATIVE_INFINITY);
  return [from, to];
}

/**
 * A gear together with pressure, torque or position that moves contradicts a standstill; so may a gear not reported. And
 * zeros between which the service brake is reported as released, the parking brake is not applied and the gear is not
 * neutral prove nothing: a truck in gear creeps unseen below the blind speed.
 */
function contradicted(view: View, from: number, to: number, rules: MotionRules): boolean {
  if (held(view, from) && held(view, to)) return false;
  if (rules.backing && wayBetween(view, from, to) !== 'forward') return true;
  if (view.flag('serviceBrake', from) === false || view.flag('serviceBrake', to) === false) return true;
  return loadMoves(view, from, to, rules.loadMoves) || torqueMoves(view, from, to) || placeMoves(view, from, to);
}

/** The truck cannot be standing here: reverse gear, every brake reported as released, and torque that moves. */
export function surelyDriven(view: View, from: number, to: number): boolean {
  const released = (t: number): boolean =>
    view.flag('parkingBrake', t) === false &&
    view.flag('serviceBrake', t) !== true &&
    (view.at('gear', t)?.value ?? 0) < 0;
  return released(from) && released(to) && torqueMoves(view, from, to);
}

function loadMoves(view: View, from: number, to: number, least: number): boolean {
  const series = view.series('suspensionKpa') ?? view.series('axleLoadKg');
  const near = samplesIn(series, from - 1000, to + 1000).map((s) => s.value);
  return near.length > 1 && Math.max(...near) - Math.min(...near) > least;
}

function torqueMoves(view: View, from: number, to: number): boolean {
  const torque = view.series('torquePct');
  if (torque !== null) {
    const near = samplesIn(torque, from, to).map((s) => s.value);
    return near.length > 1 && Math.max(...near) - Math.min(...near) > torqueMovesPct;
  }
  const pressed = (t: number): boolean =>
    (view.at('acceleratorPct', t)?.value ?? 0) > (view.known.releasedPedalPct ?? 5) + pedalMovesPct;
  return pressed(from) || pressed(to);
}

function placeMoves(view: View, from: number, to: number): boolean {
  const metres = metresApart(view, from - placeSpanMs, to + placeSpanMs);
  return metres !== null && metres > samePlaceMetres;
}

/** Metres between the positions that stand at two instants, or null where one is not known. */
export function metresApart(view: View, a: number, b: number): number | null {
  const [latA, lonA, latB, lonB] = [
    view.at('latitude', a)?.value,
    view.at('longitude', a)?.value,
    view.at('latitude', b)?.value,
    view.at('longitude', b)?.value,
  ];
  if (latA === undefined || lonA === undefined || latB === undefined || lonB === undefined) return null;
  const metresPerDegree = 111_195;
  const east = (lonB - lonA) * metresPerDegree * Math.cos((latA * Math.PI) / 180);
  return Math.hypot((latB - latA) * metresPerDegree, east);
}

function wayBetween(view: View, from: number, to: number): Way {
  const gears = [view.at('gear', from)?.value, view.at('gear', to)?.value];
  if (gears.some((g) => g === undefined) || gears.every((g) => g === 0)) return 'unknown';
  if (gears.every((g) => g! >= 0)) return 'forward';
  return gears.every((g) => g! <= 0) ? 'reverse' : 'unknown';
}
