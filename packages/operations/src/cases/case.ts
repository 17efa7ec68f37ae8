/**
 * The case of an anomaly: what its reviews, one after the other, come to. A review is never changed; undoing is a review of its
 * own that takes the latest one back.
 */

export const caseStates = ['open', 'confirmed', 'dismissed', 'with-yard', 'with-shop', 'closed'] as const;
export type CaseState = (typeof caseStates)[number];

export const reviewActions = [
  'confirm',
  'dismiss',
  'hand-to-yard',
  'hand-to-shop',
  'assign',
  'note',
  'close',
  'undo',
] as const;
export type ReviewAction = (typeof reviewActions)[number];

/** One review, in the order in which they were made. */
export interface CaseStep {
  readonly reviewId: number;
  readonly action: ReviewAction;
  readonly assigneeId: string | null;
  /** The review that an `undo` takes back. */
  readonly undoes: number | null;
  /** Fingerprint of what was judged when it was made. */
  readonly judged: string;
}

export interface Case {
  readonly state: CaseState;
  readonly assigneeId: string | null;
  /** Of what was judged at the last decision that stands; null where none stands. */
  readonly judged: string | null;
  /** The latest review that can be taken back; null where there is none. */
  readonly undoable: number | null;
}

const stateAfter: Partial<Readonly<Record<ReviewAction, CaseState>>> = {
  confirm: 'confirmed',
  dismiss: 'dismissed',
  'hand-to-yard': 'with-yard',
  'hand-to-shop': 'with-shop',
  close: 'closed',
};

/** What the reviews come to; without one the case is open. */
export function caseOf(steps: readonly CaseStep[]): Case {
  const undone = new Set(steps.flatMap(({ undoes }) => (undoes === null ? [] : [undoes])));
  let state: CaseState = 'open';
  let assigneeId: string | null = null;
  let judged: string | null = null;
  let undoable: number | null = null;
  for (const step of steps) {
    if (step.action === 'undo' || undone.has(step.reviewId)) continue;
    undoable = step.reviewId;
    if (step.action === 'assign') assigneeId = step.assigneeId;
    const next = stateAfter[step.action];
    if (next !== undefined) {
      state = next;
      judged = step.judged;
    }
  }
  return { state, assigneeId, judged, undoable };
}

/**
 * Whether the data now say something else than what a person decided on. A case that was settled on other grounds is to be
 * looked at again.
 */
export function changedSince(known: Pick<Case, 'judged'>, judgedNow: string): boolean {
  return known.judged !== null && known.judged !== judgedNow;
}
