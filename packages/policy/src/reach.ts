/**
 * How far the checks reach on one truck: which of those that the policy asks can never be judged, never be shown met or never
 * be shown missed there, whatever the driver does, and why. It follows from what each check says that it needs, what the
 * truck reports and how often, and what the companion files state. It promises nothing the other way: a check within reach
 * may still be undetermined.
 */
import { type Cadence, episodeKinds, type Vehicle } from '@gearhold/episodes';
import type { SignalName } from '@gearhold/signals';
import { askedChecks } from './asked.ts';
import { asksOfReversing } from './assess.ts';
import type { CheckDefinition, Gap, Limits, ProofNeeds } from './check.ts';
import type { CheckName } from './checks/index.ts';
import type { Policy } from './policy.ts';
import type { Site } from './site.ts';

export const reaches = ['judged', 'never-missed', 'never-met', 'never-judged', 'not-asked'] as const;
export type Reach = (typeof reaches)[number];

export interface CheckReach {
  readonly check: CheckName;
  readonly reach: Reach;
  /** Parts of a sentence, each a reason by itself; none where the check can be judged. */
  readonly why: readonly string[];
}

export interface TruckReports {
  readonly vehicleId: string;
  /** The entry of the vehicles file; null without one. */
  readonly vehicle: Vehicle | null;
  /** The signal that carries the load; null where none proves anything. */
  readonly loadSignal: 'suspensionKpa' | 'axleLoadKg' | null;
  /** How a signal is sent; null where it is never reported. */
  readonly cadence: (signal: SignalName) => Cadence | null;
}

/** What may stand in for a signal that is not reported (contract). */
const standIn: Partial<Record<SignalName, SignalName>> = { acceleratorPct: 'engineRpm' };

/** Longest gap of a periodic source over which a miss can be proven, s (contract). */
const longestProofGapSeconds = 1.5;
/** A source this much slower than a proof allows has no two samples near enough, whatever its jitter (assumed). */
const surelyTooSlow = 4 / 3;

/** Every enabled check in the policy's order, where no site asks otherwise. */
export function checkReaches(policy: Policy, truck: TruckReports, sites: readonly Site[]): CheckReach[] {
  const context = { site: null, vehicle: truck.vehicle };
  const asked = new Map(
    episodeKinds.flatMap((kind) =>
      askedChecks(policy, kind, truck.vehicleId, context).map((one) => [one.setting.check, one] as const),
    ),
  );
  const blind = blindness(truck);
  return policy.checks.flatMap(({ check }) => {
    const one = asked.get(check);
    if (one === undefined) return [];
    const { definition, setting } = one;
    const gaps = [...fleetGaps(definition, truck, sites), ...blind, ...signalGaps(definition, setting.limits, truck)];
    return [{ check, ...summed(gaps) }];
  });
}

/** Why no coupling or uncoupling is ever seen on a truck; empty where one can be. */
export function blindness({ vehicle, loadSignal, cadence }: TruckReports): Gap[] {
  const why: string[] = [];
  if (loadSignal === null && vehicle?.driveSuspension === 'spring')
    why.push(
      'it runs on steel springs by the vehicles file, where pressure proves nothing, and axleLoadKg is not reported',
    );
  else if (loadSignal === null) why.push('neither suspensionKpa nor axleLoadKg is reported');
  if (cadence('speedKph') === null) why.push('speedKph is not reported');
  return why.map((reason) => ({ never: 'judged', why: reason }));
}

function summed(gaps: readonly Gap[]): { reach: Reach; why: string[] } {
  const of = (never: Gap['never']) => gaps.filter((gap) => gap.never === never).map(({ why }) => why);
  const [asked, judged, missed, met] = [of('asked'), of('judged'), of('missed'), of('met')];
  if (asked.length > 0) return { reach: 'not-asked', why: asked };
  if (judged.length > 0) return { reach: 'never-judged', why: [...new Set(judged)] };
  if (missed.length > 0 && met.length > 0) return { reach: 'never-judged', why: [...new Set([...missed, ...met])] };
  if (missed.length > 0) return { reach: 'never-missed', why: missed };
  return { reach: met.length > 0 ? 'never-met' : 'judged', why: met };
}

function fleetGaps({ gapOf }: CheckDefinition, { vehicle }: TruckReports, sites: readonly Site[]): Gap[] {
  const gap = gapOf?.({ vehicle, sites }) ?? null;
  return gap === null ? [] : [gap];
}

function signalGaps(check: CheckDefinition, limits: Limits, truck: TruckReports): Gap[] {
  const gaps: Gap[] = [];
  for (const signal of check.needs) {
    const why = lacking(signal, truck);
    if (why !== null) gaps.push({ never: 'judged', why });
  }
  const choice = (check.needsOneOf ?? []).filter((signal) => limits[signal] !== 'not-asked');
  if (choice.length > 0 && choice.every((signal) => truck.cadence(signal) === null))
    gaps.push({ never: 'judged', why: notReported(choice) });
  if (asksOfReversing.has(check.name) && truck.cadence('gear') === null)
    gaps.push({ never: 'missed', why: 'gear is not reported, so which run was the reversing is not sure' });
  for (const never of ['missed', 'met'] as const) {
    const needs = check.proofs?.[never];
    if (needs !== undefined) gaps.push(...proofGaps(needs, limits, truck).map((why) => ({ never, why })));
  }
  return gaps;
}

function proofGaps(
  { reported = [], dense = [], periodic, gapSeconds }: ProofNeeds,
  limits: Limits,
  truck: TruckReports,
): string[] {
  const missing = reported.filter((signal) => truck.cadence(signal) === null);
  const why = missing.length === 0 ? [] : [notReported(missing)];
  const sent = dense.flatMap((signal) => {
    const name = usable(signal, truck);
    const cadence = name === null ? null : truck.cadence(name);
    return name === null || cadence === null ? [] : [{ name, cadence }];
  });
  const seconds = gapSeconds?.(limits) ?? longestProofGapSeconds;
  const slow = sent.filter(
    ({ cadence }) => cadence.mode === 'periodic' && cadence.usualMs > seconds * 1000 * surelyTooSlow,
  );
  if (slow.length > 0 && slow.length === sent.length) {
    const { name, cadence } = slow[0]!;
    why.push(
      `${name} comes every ${figure(cadence.usualMs / 1000)} s, and a proof takes samples no more than ${figure(seconds)} s apart`,
    );
  }
  const changes = sent.find(({ cadence }) => cadence.mode === 'change-only');
  if (periodic === true && changes !== undefined)
    why.push(`${changes.name} is sent only where it changed, and a proof takes it at least once a second`);
  return why;
}

/** The signal that is read where a check asks for one: itself, the load signal of the truck, or a stand-in. */
function usable(signal: SignalName, { loadSignal, cadence }: TruckReports): SignalName | null {
  if (signal === 'suspensionKpa') return loadSignal;
  if (cadence(signal) !== null) return signal;
  const other = standIn[signal];
  return other !== undefined && cadence(other) !== null ? other : null;
}

function lacking(signal: SignalName, truck: TruckReports): string | null {
  // A truck without any load is said to be blind already.
  if (signal === 'suspensionKpa' || usable(signal, truck) !== null) return null;
  const other = standIn[signal];
  return other === undefined ? notReported([signal]) : `neither ${signal} nor ${other} in its place is reported`;
}

function notReported(signals: readonly SignalName[]): string {
  return `${signals.join(' and ')} ${signals.length === 1 ? 'is' : 'are'} not reported`;
}

function figure(value: number): string {
  return String(Number(value.toFixed(value < 10 ? 1 : 0)));
}
