/**
 * Reads a scene from anchor to anchor and names the boundaries: trailer taken, trailer left, or nothing of the kind. What
 * is refused leaves the state as it was, at a new level.
 */
import { smallestTransfer } from '../load/tolerance.ts';
import type { Move } from '../motion/moves.ts';
import { type Anchor, findAnchors } from './anchors.ts';
import { approachOf } from './arrival.ts';
import { backingOf } from './backing.ts';
import { emptySprings, type Fall, shapeOfFall, weighFall, weighLoss } from './fall.ts';
import { plateauBeforeFall } from './plateau.ts';
import { weighRise } from './rise.ts';
import type { Scene } from './scene.ts';
import { placeChange, spreadOfCrossing, type Transfer, type Weighed } from './transfer.ts';

/** Whether a trailer is on, as far as the episodes so far tell. */
export type Coupled = 'on' | 'off' | 'unknown';

export type Finding =
  | { readonly kind: 'coupling'; readonly transfer: Transfer; readonly backing: Move | null; readonly weighed: Weighed }
  | { readonly kind: 'uncoupling'; readonly transfer: Transfer; readonly fall: Fall; readonly weighed: Weighed }
  | { readonly kind: 'load-loss'; readonly transfer: Transfer; readonly weighed: Weighed };

export interface Resolution {
  readonly findings: readonly Finding[];
  readonly closing: Anchor;
  readonly coupled: Coupled;
  /** Levels that would be bobtail if refused transfers had been what they look like. */
  readonly doubts: readonly number[];
  /** A level that changed with no trailer taken or left while the truck was bobtail: the sensor may have been replaced. */
  readonly jumped: boolean;
}

/** Below this probability a finding is not reported. */
const leastConfidence = 0.5;

/**
 * Names what lies between the opening anchor and the end of the scene.
 *
 * @param tail level at standstill at the end, for a scene that the end of the input cuts off; null otherwise
 */
export function resolve(scene: Scene, opening: Anchor, coupled: Coupled, tail: Anchor | null): Resolution {
  const anchors = findAnchors(scene, opening);
  if (tail !== null) anchors.push(tail);
  const findings: Finding[] = [];
  let state = coupled;
  const doubts: number[] = [];
  let jumped = false;
  let current = anchors[0];
  for (let k = 1; k < anchors.length; k++) {
    const next = anchors[k];
    const change = next.level - current.level;
    if (Math.abs(change) <= scene.tolerance.distinct(current.level, next.level)) {
      current = keepFall(next, current);
      continue;
    }
    const finding =
      change > 0
        ? findCoupling(scene, current, next, state, doubts)
        : leftAlready(scene, findings.at(-1), next)
          ? null
          : findUncoupling(scene, current, next, anchors[k + 1], state);
    if (finding !== null) {
      findings.push(finding);
      state = finding.kind === 'coupling' ? 'on' : 'off';
    } else if (state === 'off' && emptySprings(scene, current.level) && next.settled) {
      // A refill that stops is at bobtail: the tractor was out.
      if (change > 0) doubts.push(next.level);
    } else if (scene.levels.bobtail !== null) {
      const level = otherBobtail(scene, current, next, anchors[k + 1]);
      if (level !== null) doubts.push(level);
    }
    if (finding === null && state === 'off' && !isRefill(scene, current, next)) jumped = true;
    const { level, fellFrom = level } = current;
    if (change > 0) current = next;
    else current = finding === null ? { ...next, fellFrom, cameFrom: level } : { ...next, cameFrom: level };
  }
  return { findings, closing: current, coupled: state, doubts, jumped };
}

/** An anchor of the same level as the one before: what is known of how that level came about holds on. */
export function keepFall(anchor: Anchor, before: Anchor): Anchor {
  const { fellFrom, cameFrom } = before;
  return {
    ...anchor,
    ...(fellFrom !== undefined && { fellFrom }),
    ...(cameFrom !== undefined && { cameFrom }),
  };
}

/** The level that would be bobtail if a refused change were weighed with nothing known: null where it is refused even then. */
function otherBobtail(scene: Scene, current: Anchor, next: Anchor, after: Anchor | undefined): number | null {
  const innocent = scene.withoutLevels();
  const finding =
    next.level > current.level
      ? findCoupling(innocent, current, next, 'unknown')
      : findUncoupling(innocent, current, next, after, 'unknown');
  if (finding === null || !finding.weighed.teaches) return null;
  return finding.kind === 'coupling' ? finding.transfer.from : finding.transfer.to;
}

function findCoupling(scene: Scene, before: Anchor, after: Anchor, state: Coupled, doubts?: number[]): Finding | null {
  const { series } = scene;
  const startMs = before.move?.kind === 'reverse' || before.move?.kind === 'moving' ? before.fromMs : before.toMs;
  const first = Math.max(0, series.indexAt(startMs) - 1);
  const last = series.indexAt(after.toMs);
  const to = settledBefore(scene, after);
  const rough = placeChange(scene, before.level, to, first, last);
  if (rough === null) return null;
  const near = levelBeforeOnset(scene, before.level, rough.onset.low);
  const from = filledLevel(scene, levelledOut(scene, near, to, state), before, rough.time.high);
  const placed = placeChange(scene, from, to, first, last) ?? rough;
  const transfer: Transfer = { from, to, time: placed.time, onset: placed.onset, before, after };
  // Nobody takes a trailer at speed: what comes on there is a sensor or a lift axle.
  if (fastestAt(scene, transfer.time.low, transfer.time.high) > fastestYardKph) return null;
  if (sensorAway(scene, transfer)) return null;
  const backing = backingOf(scene, transfer);
  const weighed = weighRise(scene, transfer, backing, state);
  if (weighed.confidence < leastConfidence) {
    if (weighed.teaches) doubts?.push(transfer.from);
    return null;
  }
  return {
    kind: 'coupling',
    transfer: afterApproach(scene, transfer, backing, first, last),
    backing,
    weighed: cameBefore(scene, transfer, placedWithin(scene, transfer, weighed)),
  };
}

/**
 * A level that rose before the truck was near the trailer was not the trailer: a lift axle that is raised in reverse gear,
 * say. The onset is then looked for from the level of the approach.
 */
function afterApproach(scene: Scene, transfer: Transfer, backing: Move | null, first: number, last: number): Transfer {
  if (backing === null) return transfer;
  const approach = approachOf(scene, backing);
  if (approach === null || transfer.onset.high >= approach.untilMs) return transfer;
  if (approach.level > (transfer.from + transfer.to) / 2) return transfer;
  const placed = placeChange(scene, approach.level, transfer.to, first, last);
  return placed === null ? transfer : { ...transfer, onset: placed.onset };
}

/**
 * Where a later backing found most of the load there already and brought on more, what came before it may be springs that filled, and
 * half-way of the whole is not half-way of the trailer.
 */
function cameBefore(scene: Scene, transfer: Transfer, weighed: Weighed): Weighed {
  const { from, to, time, after } = transfer;
  for (const move of scene.moves) {
    if (move.kind === 'forward' || move.start.low <= time.high || move.start.best >= after.fromMs) continue;
    const approach = approachOf(scene, move);
    if (approach === null || approach.level <= (from + to) / 2) continue;
    if (to - approach.level <= scene.tolerance.distinct(approach.level, to)) continue;
    return { ...weighed, confidence: Math.min(weighed.confidence, perhapsHalf) };
  }
  return weighed;
}

/** The contract asks for the instant within this, ms: crossings further apart make it a toss where half-way was. */
const unsurePlaceMs = 15_000;
const tossConfidence = 0.5;
/** Two pulls within so long may be one leaving, ms: the level then stood near where the first one came down from. */
const onePullMs = 180_000;
const mostOfFall = 0.8;
/** Below what a `missed` takes. */
const perhapsHalf = 0.85;
/** In a silence the load comes when the legs go up, sooner in some parts of it than in others: so much likelier than anywhere. */
const likelierPart = 2;

/** What happened may be certain and when it did not: the confidence covers both. */
function placedWithin(scene: Scene, transfer: Transfer, weighed: Weighed): Weighed {
  const unseenMs = transfer.time.high - transfer.time.low;
  if (unseenMs > 2 * unsurePlaceMs) {
    const placed = (likelierPart * 2 * unsurePlaceMs) / unseenMs;
    return { ...weighed, confidence: Math.min(weighed.confidence, roundedShare(placed)) };
  }
  if (spreadOfCrossing(scene, transfer) <= unsurePlaceMs + scene.loadIntervalMs) return weighed;
  return { ...weighed, confidence: Math.min(weighed.confidence, tossConfidence) };
}

/** So many rows without a load, in a hole of so long, ms, are a sensor that was away, and not a truck that was silent. */
const rowsWithoutLoad = 30;
const sensorAwayMs = 300_000;

/** Whether the load changed while its sensor was away and the truck went on reporting: nothing is known of what it did. */
function sensorAway(scene: Scene, { time }: Transfer): boolean {
  if (time.high - time.low < sensorAwayMs) return false;
  const times = scene.track.timesMs;
  let rows = 0;
  for (const timeMs of times) if (timeMs > time.low && timeMs < time.high) rows += 1;
  return rows >= rowsWithoutLoad;
}

/** A probability to hundredths: no more is known of it. */
function roundedShare(share: number): number {
  return Math.round(Math.min(1, share) * 100) / 100;
}

/** The level of the last seconds before a change, where it agrees with that of the travel before: nearer, so truer. */
function levelBeforeOnset(scene: Scene, level: number, onsetMs: number): number {
  const near = scene.series.levelBefore(onsetMs, 30_000, 3, onsetMs - 60_000);
  return near.count >= 3 && Math.abs(near.level - level) <= scene.tolerance.distinct(near.level, level)
    ? near.level
    : level;
}

/** Out since minutes, the springs may still be letting go of the last trailer: they settle at bobtail, where that is known. */
function levelledOut(scene: Scene, level: number, to: number, state: Coupled): number {
  const { bobtail } = scene.levels;
  const above = bobtail === null ? 0 : level - bobtail;
  return bobtail !== null && state === 'off' && above > 0 && above < 0.3 * (to - bobtail) ? bobtail : level;
}

/**
 * A trailer is taken from bobtail, also by a tractor that came with empty springs: the rest of the rise is their filling. Where
 * bobtail is not known, it is the level with which the backing went on, if the springs were filled by then.
 */
function filledLevel(scene: Scene, level: number, before: Anchor, untilMs: number): number {
  if (level > scene.springs.perhapsEmptyAt) return level;
  const { bobtail } = scene.levels;
  if (bobtail !== null && emptySprings(scene, level)) return bobtail;
  const backing = scene.moves.findLast(
    (move) => move.kind === 'reverse' && move.start.best >= before.toMs && move.start.best < untilMs,
  );
  const approach = backing === undefined ? null : approachOf(scene, backing);
  if (approach === null || approach.level <= scene.springs.perhapsEmptyAt) return level;
  // Where it is not known what springs hold when empty, a lift axle raised in reverse gear may be all the difference.
  const sure = emptySprings(scene, level) || approach.level - level > smallestTransfer[scene.signal];
  return sure ? approach.level : level;
}

/** The level at standstill just before an anchor's move begins, where it agrees with the level of the move: less shaken. */
function settledBefore(scene: Scene, anchor: Anchor): number {
  if (anchor.move === null) return anchor.level;
  const last = scene.series.levelBefore(anchor.move.start.low, 8000, 2, anchor.move.start.low - 60_000);
  if (last.count < 2) return anchor.level;
  // More samples tell the level better, where they are of one level.
  const longer = scene.series.levelBefore(anchor.move.start.low, 30_000, 2, anchor.move.start.low - 60_000);
  const still = Math.abs(longer.level - last.level) <= 0.5 * scene.tolerance.sample ? longer : last;
  const higher = still.level - anchor.level;
  // A lift axle that is raised while the brake is set comes down as the truck moves off.
  const mayLift = scene.vehicle?.liftAxle !== false && higher > 0 && higher < 0.4 * scene.sprung(still.level);
  return mayLift || Math.abs(higher) <= scene.tolerance.distinct(still.level, anchor.level)
    ? still.level
    : anchor.level;
}

/** A trailer cannot be left twice: what falls further, with no backing since the last one was left, is the suspension. */
function leftAlready(scene: Scene, last: Finding | undefined, next: Anchor): boolean {
  if (last === undefined || last.kind !== 'uncoupling') return false;
  const sinceMs = last.transfer.time.high;
  return !scene.moves.some((m) => m.kind !== 'forward' && m.end.best > sinceMs && m.start.best < next.fromMs);
}

function findUncoupling(
  scene: Scene,
  before: Anchor,
  after: Anchor,
  next: Anchor | undefined,
  state: Coupled,
): Finding | null {
  // A level that comes back without backing under anything was a dump or a leak, made good.
  if (next !== undefined && next.level - before.level > -scene.tolerance.distinct(before.level, next.level)) {
    const backedAgain = scene.moves.some(
      (m) =>
        m.kind !== 'forward' &&
        m.start.best >= after.fromMs &&
        m.start.best < next.fromMs &&
        (m.kind === 'reverse' || !scene.gearReported),
    );
    if (!backedAgain) return null;
  }
  const { series } = scene;
  const first = Math.max(0, series.indexAt(before.move === null ? before.fromMs : before.toMs) - 1);
  const last = Math.min(series.length - 1, series.indexAt(after.toMs));
  const from = plateauBeforeFall(scene, before, after, first, last);
  const placed = placeChange(scene, from.level, after.level, from.sample, last);
  if (placed === null) return null;
  const transfer: Transfer = {
    from: from.level,
    to: after.level,
    time: placed.time,
    onset: placed.onset,
    before,
    after,
  };
  // A load that goes at speed is a separation or a burst spring, never a trailer left.
  if (fastestAt(scene, transfer.time.low, transfer.time.high) > fastestYardKph) return findLoss(scene, transfer, state);
  if (sensorAway(scene, transfer)) return null;
  const fall = shapeOfFall(scene, transfer);
  const weighed = weighFall(scene, transfer, fall, state);
  if (weighed.confidence < leastConfidence) return null;
  return {
    kind: 'uncoupling',
    transfer,
    fall,
    weighed: afterFall(scene, transfer, placedWithin(scene, transfer, weighed)),
  };
}

/**
 * Where the load came down to the level before the fall just now, the trailer may have been left in two pulls, and half-way of this
 * fall is not half-way of both.
 */
function afterFall(scene: Scene, { from, before, onset }: Transfer, weighed: Weighed): Weighed {
  if (before.cameFrom === undefined) return weighed;
  const { times, smooth } = scene.series;
  const mostOfIt = from + mostOfFall * (before.cameFrom - from);
  for (let i = scene.series.indexAt(onset.low - onePullMs); i < times.length && times[i] < onset.low; i++) {
    if (smooth[i] >= mostOfIt) return { ...weighed, confidence: Math.min(weighed.confidence, perhapsHalf) };
  }
  return weighed;
}

/** A load lost under way: within seconds, down to bobtail or below it. */
function findLoss(scene: Scene, transfer: Transfer, state: Coupled): Finding | null {
  const weighed = weighLoss(scene, transfer, state);
  return weighed.confidence < leastConfidence ? null : { kind: 'load-loss', transfer, weighed };
}

/** Above this a load that vanishes is lost under way, and none is taken, km/h (contract). */
const fastestYardKph = 15;

/** Highest speed standing in [from, to], ms, at the samples in it and those just outside. */
function fastestAt(scene: Scene, fromMs: number, toMs: number): number {
  const { speed } = scene.columns;
  const times = scene.track.timesMs;
  let fastest = 0;
  for (let row = 0; speed !== null && row < times.length && times[row] <= toMs; row++) {
    if (times[row] >= fromMs && speed[row] > fastest) fastest = speed[row];
  }
  return fastest;
}

/** Empty springs filled again, up to the bobtail level that is known: no jump of the sensor. */
function isRefill(scene: Scene, from: Anchor, to: Anchor): boolean {
  const { bobtail } = scene.levels;
  if (bobtail === null) return true;
  const near = scene.tolerance.distinct(to.level, bobtail);
  return Math.abs(to.level - bobtail) <= near || Math.min(from.level, to.level) < 0.6 * bobtail;
}
