/** Deciding on anomalies: what is sent, what came of it, and how it is said. */
import { count } from '@gearhold/look';
import { useState } from 'preact/hooks';
import { ask, Refusal } from '../server/ask.ts';
import type { Anomaly, NewReview, ReviewResult } from '../server/messages.ts';

/** A decision without the anomalies that it is about. */
export type Decision = Omit<NewReview, 'anomalyIds'>;

/** Decisions that need words first, and which field of the review those fill. */
export const wordsNeeded: Readonly<Record<string, { readonly field: 'reason' | 'note'; readonly ask: string }>> = {
  dismiss: { field: 'reason', ask: 'Why is it dismissed?' },
  note: { field: 'note', ask: 'What is to be noted?' },
};

const done: Readonly<Record<Decision['action'], string>> = {
  confirm: 'confirmed',
  dismiss: 'dismissed',
  'hand-to-yard': 'handed to the yard',
  'hand-to-shop': 'handed to the shop',
  assign: 'assigned',
  note: 'noted',
  close: 'closed',
  undo: 'as before: the last decision is taken back',
};

/** `2 anomalies handed to the shop.` */
export function doneSentence(anomalies: number, { action, assigneeId }: Decision): string {
  const what = action === 'assign' && assigneeId === null ? 'given back: it is with nobody now' : done[action];
  return `${count(anomalies, 'anomaly', 'anomalies')} ${what}.`;
}

export interface Deciding {
  readonly said: string | null;
  readonly refused: string | null;
  readonly busy: boolean;
  /** Whether it was done. */
  decide(anomalyIds: readonly string[], decision: Decision): Promise<boolean>;
}

/** @param onDecided told the anomalies as they are after it */
export function useDeciding(onDecided: (anomalies: readonly Anomaly[]) => void): Deciding {
  const [state, setState] = useState<{ said: string | null; refused: string | null; busy: boolean }>({
    said: null,
    refused: null,
    busy: false,
  });
  return {
    ...state,
    async decide(anomalyIds, decision) {
      setState({ said: null, refused: null, busy: true });
      try {
        const { items } = await ask<ReviewResult>('POST', '/v1/reviews', { anomalyIds, ...decision });
        onDecided(items.map(({ anomaly }) => anomaly));
        setState({ said: doneSentence(items.length, decision), refused: null, busy: false });
        return true;
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        setState({ said: null, refused: error.message, busy: false });
        return false;
      }
    },
  };
}
