/**
 * The line of decisions at the foot of a page: what may be done with the anomalies that are meant, by button or by key, and what
 * came of the last one. A decision that needs words asks for them in place.
 */
import { count } from '@gearhold/look';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Anomaly } from '../server/messages.ts';
import { useKeys } from '../shell/keys.ts';
import { mayReview, useSurroundings } from '../shell/person.ts';
import { type Decision, useDeciding, wordsNeeded } from './deciding.ts';

interface Props {
  /** The anomalies that a decision would be about now. */
  readonly targets: readonly Anomaly[];
  readonly onDecided: (anomalies: readonly Anomaly[]) => void;
  /** Keys that move on this page, said behind the decisions. */
  readonly children?: ComponentChildren;
}

export function DecisionBar({ targets, onDecided, children }: Props) {
  const surroundings = useSurroundings();
  const { said, refused, busy, decide } = useDeciding(onDecided);
  const [asking, setAsking] = useState<'dismiss' | 'note' | null>(null);
  const returnTo = useRef<HTMLElement | null>(null);
  const allowed = mayReview(surroundings);
  const me = surroundings.person.personId;
  const mine = targets.length > 0 && targets.every(({ assigneeId }) => assigneeId === me);
  const ids = targets.map(({ anomalyId }) => anomalyId);

  const act = (decision: Decision) => {
    if (!allowed || busy || ids.length === 0) return;
    if (decision.action === 'dismiss' || decision.action === 'note') {
      returnTo.current = document.activeElement as HTMLElement | null;
      setAsking(decision.action);
    } else void decide(ids, decision);
  };
  const close = () => {
    setAsking(null);
    returnTo.current?.focus();
  };
  const acts: readonly (readonly [key: string, name: string, decision: Decision])[] = [
    ['c', 'Confirm', { action: 'confirm' }],
    ['d', 'Dismiss', { action: 'dismiss' }],
    ['y', 'Hand to yard', { action: 'hand-to-yard' }],
    ['s', 'Hand to shop', { action: 'hand-to-shop' }],
    ['a', mine ? 'Give back' : 'Take it', { action: 'assign', assigneeId: mine ? null : me }],
    ['n', 'Note', { action: 'note' }],
    ['e', 'Close', { action: 'close' }],
    ['u', 'Undo', { action: 'undo' }],
  ];
  useKeys(
    Object.fromEntries(acts.map(([key, , decision]) => [key, () => act(decision)])),
    surroundings.keys && allowed && asking === null,
  );

  return (
    <section class="decide" aria-label="Decide">
      {asking === null ? (
        <div class="acts">
          <span class="soft small">{meant(targets)}</span>
          {allowed &&
            acts.map(([key, name, decision]) => (
              <button key={key} type="button" disabled={busy || ids.length === 0} onClick={() => act(decision)}>
                {name} {surroundings.keys && <kbd>{key}</kbd>}
              </button>
            ))}
          {children}
        </div>
      ) : (
        <Words
          action={asking}
          about={meant(targets)}
          busy={busy}
          onCancel={close}
          onWords={async (words) => {
            const done = await decide(ids, { action: asking, [wordsNeeded[asking]!.field]: words });
            if (done) close();
          }}
        />
      )}
      <p class="said" role="status">
        {said}
      </p>
      {refused !== null && (
        <p class="refused" role="alert">
          {refused}
        </p>
      )}
    </section>
  );
}

function meant(targets: readonly Anomaly[]): string {
  if (targets.length === 0) return 'No anomaly is chosen:';
  if (targets.length === 1) return `Truck ${targets[0]!.vehicleId}:`;
  return `${count(targets.length, 'anomaly', 'anomalies')}:`;
}

interface WordsProps {
  readonly action: 'dismiss' | 'note';
  readonly about: string;
  readonly busy: boolean;
  readonly onWords: (words: string) => void;
  readonly onCancel: () => void;
}

function Words({ action, about, busy, onWords, onCancel }: WordsProps) {
  const field = useRef<HTMLTextAreaElement>(null);
  useEffect(() => field.current?.focus(), []);
  const send = (event: Event) => {
    event.preventDefault();
    const words = field.current!.value.trim();
    if (words !== '') onWords(words);
  };
  const press = (event: KeyboardEvent) => {
    if (event.key === 'Escape') onCancel();
    if (event.key === 'Enter' && !event.shiftKey) send(event);
  };
  return (
    <form onSubmit={send}>
      <label>
        {about} {wordsNeeded[action]!.ask} Enter keeps it, Escape leaves it.
        <textarea ref={field} rows={2} required maxLength={2000} onKeyDown={press} />
      </label>
      <div class="acts">
        <button type="submit" disabled={busy}>
          {action === 'dismiss' ? 'Dismiss' : 'Note'}
        </button>
        <button type="button" onClick={onCancel}>
          Leave it
        </button>
      </div>
    </form>
  );
}
