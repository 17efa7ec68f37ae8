/**
 * The wire form of an episode, in the contract's fields and order. Times ISO 8601 with milliseconds and Z; pressures in kPa
 * to one decimal; bounds never rounded across a limit. `milestoneBounds` and `reasonParts` extend the contract.
 */
import type { Episode, Interval } from '@gearhold/episodes';
import { type AssessedCheck, assess } from './assess.ts';
import type { Concern, Context, Limits, Urgency } from './check.ts';
import { episodeIdOf } from './episode-id.ts';
import type { Policy } from './policy.ts';
import { render, type Statement, type UnitSystem } from './statement.ts';
import type { Measured, Outcome } from './verdict.ts';

export interface WireBounds {
  readonly low: string;
  readonly high: string;
}

export interface WireCheck {
  readonly check: string;
  readonly outcome: Outcome;
  readonly measured: Measured | null;
  readonly limit: Limits;
  readonly window: { readonly start: string; readonly end: string } | null;
  readonly concern: Concern;
  readonly urgency: Urgency;
  /** One sentence in SI. */
  readonly reason: string;
  /** The sentence as data, so that it can be rendered in other units. */
  readonly reasonParts: Statement;
}

export interface WireEpisode {
  readonly episodeId: string;
  readonly kind: string;
  readonly vehicleId: string;
  readonly driverId: string | null;
  readonly driverBasis: Episode['driverBasis'];
  readonly startTime: string;
  readonly loadTransferTime: string;
  readonly endTime: string;
  readonly position: { readonly latitude: number; readonly longitude: number } | null;
  readonly siteId: string | null;
  readonly pressureBeforeKpa: number | null;
  readonly pressureAfterKpa: number | null;
  /** Only where the load was reported in kg. */
  readonly axleLoadBeforeKg?: number | null;
  readonly axleLoadAfterKg?: number | null;
  readonly trailerLoad: Episode['trailerLoad'];
  readonly suspensionDumped: boolean | null;
  readonly milestones: Readonly<Record<string, string | null | readonly string[]>>;
  /** Between which instants each milestone lies; null where it is. */
  readonly milestoneBounds: Readonly<Record<string, WireBounds | null | readonly WireBounds[]>>;
  readonly confidence: number;
  readonly checks: readonly WireCheck[];
}

/** Judges an episode under a policy and gives its wire form. */
export function judge(episode: Episode, policy: Policy, context: Context): WireEpisode {
  return wireEpisode(episode, assess(episode, policy, context), context);
}

/** The sentence of a check in a unit system; `si` gives its `reason` again. */
export function sentence(check: Pick<WireCheck, 'reasonParts'>, units: UnitSystem): string {
  return render(check.reasonParts, units);
}

/** The wire form of an episode that was judged already. */
export function wireEpisode(episode: Episode, checks: readonly AssessedCheck[], context: Context): WireEpisode {
  const loadTransferTime = iso(episode.loadTransferTime.best);
  const inKg = episode.loadSignal === 'axleLoadKg';
  return {
    episodeId: episodeIdOf(episode.vehicleId, episode.kind, loadTransferTime),
    kind: episode.kind,
    vehicleId: episode.vehicleId,
    driverId: episode.driverId,
    driverBasis: episode.driverBasis,
    startTime: iso(episode.startTime),
    loadTransferTime,
    endTime: iso(episode.endTime),
    position: episode.position && { latitude: episode.position.latitude, longitude: episode.position.longitude },
    siteId: context.site?.siteId ?? null,
    pressureBeforeKpa: inKg ? null : rounded(episode.levelBefore, 1),
    pressureAfterKpa: inKg ? null : rounded(episode.levelAfter, 1),
    ...(inKg && { axleLoadBeforeKg: rounded(episode.levelBefore, 0), axleLoadAfterKg: rounded(episode.levelAfter, 0) }),
    trailerLoad: episode.trailerLoad,
    suspensionDumped: episode.suspensionDumped,
    ...wireMilestones(episode),
    confidence: Number(episode.confidence.toFixed(3)),
    checks: checks.map(wireCheck),
  };
}

/** Milestones in the contract's order, by kind. */
const milestoneNames = {
  coupling: ['approachTime', 'contactTime', 'seatedTime', 'tugTestTimes', 'departureTime'],
  attempt: ['approachTime', 'contactTime', 'seatedTime', 'tugTestTimes', 'departureTime'],
  uncoupling: ['standTime', 'dumpTime', 'pullOutTime', 'releaseTime', 'holdStartTime', 'holdEndTime', 'clearTime'],
  'load-loss': [],
} as const;

function wireMilestones(episode: Episode): Pick<WireEpisode, 'milestones' | 'milestoneBounds'> {
  const milestones: Record<string, string | null | string[]> = {};
  const milestoneBounds: Record<string, WireBounds | null | WireBounds[]> = {};
  const known = episode.milestones as Readonly<Record<string, Interval | null | readonly Interval[]>>;
  for (const name of milestoneNames[episode.kind]) {
    const milestone = known[name] ?? null;
    if (milestone === null) {
      milestones[name] = null;
      milestoneBounds[name] = null;
    } else if ('best' in milestone) {
      milestones[name] = iso(milestone.best);
      milestoneBounds[name] = bounds(milestone);
    } else {
      milestones[name] = milestone.map((time) => iso(time.best));
      milestoneBounds[name] = milestone.map(bounds);
    }
  }
  return { milestones, milestoneBounds };
}

function wireCheck(assessed: AssessedCheck): WireCheck {
  const { measured, window } = assessed;
  return {
    check: assessed.check,
    outcome: assessed.outcome,
    measured: measured && { value: measured.value, low: measured.low, high: measured.high, unit: measured.unit },
    limit: assessed.limit,
    window: window && { start: iso(window.startMs), end: iso(window.endMs) },
    concern: assessed.concern,
    urgency: assessed.urgency,
    reason: render(assessed.statement),
    reasonParts: assessed.statement,
  };
}

function bounds({ low, high }: Interval): WireBounds {
  return { low: iso(low), high: iso(high) };
}

function iso(timeMs: number): string {
  return new Date(Math.round(timeMs)).toISOString();
}

function rounded(value: number | null, decimals: number): number | null {
  return value === null ? null : Number(value.toFixed(decimals));
}
