/**
 * What a check is: the steps it asks of an episode, the signals it needs, its limits with their sources, whom a miss
 * concerns, and how it is judged on bounds. One file a check stands in `checks/`.
 */
import type { Episode, EpisodeKind, Vehicle } from '@gearhold/episodes';
import type { SignalName } from '@gearhold/signals';
import type { z } from 'zod';
import type { Stretch } from './evidence/standing.ts';
import type { Site } from './site.ts';
import type { Quantity, Statement } from './statement.ts';
import { type Ask, type Measured, type Outcome, outcomeOf, roundMeasured } from './verdict.ts';

export const concerns = ['driver', 'yard', 'shop', 'unclear'] as const;
export type Concern = (typeof concerns)[number];
export const urgencies = ['urgent', 'today', 'routine'] as const;
export type Urgency = (typeof urgencies)[number];

/** What the companion files say of an episode; null where they are silent. */
export interface Context {
  readonly site: Site | null;
  /** How far the position lies from where another site, or none, would be the answer, m; left out: not known. */
  readonly marginM?: number;
  /** The entry that is valid on the day of the episode. */
  readonly vehicle: Vehicle | null;
}

export interface LimitDefinition {
  readonly schema: z.ZodType<number | string>;
  /** One sentence with the unit. */
  readonly meaning: string;
  readonly builtIn: number | string;
  /** Published source of the built-in value, or the words 'common practice' or 'house policy'. */
  readonly source: string;
}

export type LimitTable = Readonly<Record<string, LimitDefinition>>;
export type LimitsOf<T extends LimitTable> = { readonly [K in keyof T]: z.infer<T[K]['schema']> };
export type Limits = Readonly<Record<string, number | string>>;

/** What the companion files leave a check unable to say on one truck. */
export interface Gap {
  /** What it never is: asked, judged, or shown met or missed. */
  readonly never: 'asked' | 'judged' | 'met' | 'missed';
  /** Part of a sentence. */
  readonly why: string;
}

/** What a proof takes beyond `needs`. */
export interface ProofNeeds {
  /** Signals without which there is none. */
  readonly reported?: readonly SignalName[];
  /** Signals of which one must have samples near each other where it is sent at intervals. */
  readonly dense?: readonly SignalName[];
  /** How near, s; the contract's 1.5 s where left out. */
  readonly gapSeconds?: (limits: Limits) => number;
  /** Whether a source that sends only changes does not do. */
  readonly periodic?: boolean;
}

/** What a check finds in one episode. `measured` is not yet rounded. */
export interface Finding {
  readonly outcome: Outcome;
  readonly measured: Measured | null;
  /** The limits that were asked; the same names as in the policy. */
  readonly limit: Limits;
  readonly window: Stretch | null;
  readonly statement: Statement;
  /** Whom this finding concerns, where it knows better than the check. */
  readonly concern?: Concern;
}

export interface CheckDefinition<T extends LimitTable = LimitTable, K extends EpisodeKind = EpisodeKind> {
  readonly name: string;
  /** What the step is, in a few words. */
  readonly title: string;
  readonly kinds: readonly K[];
  /** Signals without which it can say nothing, and signals that sharpen it. */
  readonly needs: readonly SignalName[];
  readonly uses: readonly SignalName[];
  /** At least one of these besides, of those that the limits ask for. */
  readonly needsOneOf?: readonly SignalName[];
  /** What else it takes to show it met, or missed. */
  readonly proofs?: { readonly met?: ProofNeeds; readonly missed?: ProofNeeds };
  /** What the companion files leave it unable to say on a truck, whatever the readings. */
  readonly gapOf?: (known: { readonly vehicle: Vehicle | null; readonly sites: readonly Site[] }) => Gap | null;
  readonly limits: T;
  readonly concern: Concern;
  readonly urgency: Urgency;
  /** Why it concerns whom it does, and why it is that urgent. */
  readonly because: string;
  /** Where the step itself is asked for: a published source, or the words 'common practice'. */
  readonly source: string;
  readonly judge: (episode: Extract<Episode, { kind: K }>, limits: LimitsOf<T>, context: Context) => Finding;
}

/** Yard tractors that lift the trailer themselves are asked nothing of how they back or leave. */
export function yardTractor({ vehicle }: { readonly vehicle: Vehicle | null }): Gap | null {
  return vehicle?.use === 'yard' ? { never: 'asked', why: 'a yard tractor lifts the trailer itself' } : null;
}

/** Keeps the types of one check's own limits and kinds while it stands in a list of all. */
export function defineCheck<const T extends LimitTable, const K extends EpisodeKind>(
  definition: CheckDefinition<T, K>,
): CheckDefinition<T, K> {
  return definition;
}

export interface Found {
  readonly measured: Measured;
  readonly ask: Ask;
  /** The number in `limit` that decides. */
  readonly against: number;
  readonly limit: Limits;
  readonly window: Stretch | null;
  /** The sentence for each outcome. */
  readonly says: (outcome: 'met' | 'missed' | 'undetermined', measured: Measured) => Statement;
}

/** A finding from bounds: the outcome follows from the printed range, so that a reader comes to the same. */
export function found(finding: Found): Finding {
  const measured = roundMeasured(finding.measured, finding.against);
  const outcome = outcomeOf(measured, finding.ask, finding.against);
  const { limit, window } = finding;
  return { outcome, measured, limit, window, statement: finding.says(outcome, measured) };
}

/** The data say nothing, or too little: `why` ends the sentence 'Could not be judged: ...'. */
export function cannotJudge(limit: Limits, why: string, measured: Measured | null = null): Finding {
  const statement = { text: 'Could not be judged: {why}.', values: { why } };
  return { outcome: 'undetermined', measured, limit, window: null, statement };
}

/** The policy does not ask the step of this episode: `why` ends the sentence 'Not asked here: ...'. */
export function notAsked(limit: Limits, why: string): Finding {
  const statement = { text: 'Not asked here: {why}.', values: { why } };
  return { outcome: 'not-applicable', measured: null, limit, window: null, statement };
}

/** Wording of a finding. `{measured}`, `{asked}` and `{sure}` (the range, in brackets) may stand in each. */
export interface Wording {
  readonly met: string;
  readonly missed: string;
  /** Follows 'Could not be judged: '. */
  readonly undetermined: string;
}

/** The sentences of a check from their wording, what was asked, and whatever else fills their gaps. */
export function inWords(wording: Wording, asked: Quantity, more: Statement['values'] = {}): Found['says'] {
  return (outcome, measured) => {
    const sure = sureness(measured);
    const text = outcome === 'undetermined' ? `Could not be judged: ${wording.undetermined}` : wording[outcome];
    const values = { ...more, ...sure.values, measured: { value: measured.value, unit: measured.unit }, asked };
    return { text: text.replace(' {sure}', sure.text), values };
  };
}

/** How sure a measured value is, as words: ` (between {low} and {high})`; nothing where it is known exactly. */
function sureness(measured: Measured): Statement {
  const { low, high, unit } = measured;
  const values: Record<string, Quantity> = {};
  if (low !== null) values.low = { value: low, unit };
  if (high !== null) values.high = { value: high, unit };
  if (low !== null && high !== null) return { text: low === high ? '' : ' (between {low} and {high})', values };
  if (low !== null) return { text: ' (at least {low}, no upper bound)', values };
  return { text: high === null ? '' : ' (at most {high})', values };
}
