/** A component's question to the service: its answer, or why there is none, or neither yet. */
import { useCallback, useEffect, useState } from 'preact/hooks';
import { ask, Refusal } from './ask.ts';

export interface Answered<T> {
  readonly answer: T | null;
  readonly refusal: Refusal | null;
  /** Puts something else in the answer's place, such as an anomaly that was just decided on. */
  change(to: (now: T) => T): void;
}

/** Asks again whenever the path changes, or `asOf`, keeping the answer meanwhile; a path of null asks nothing. */
export function useAnswer<T>(path: string | null, asOf = ''): Answered<T> {
  const [state, setState] = useState<{ path: string | null; answer: T | null; refusal: Refusal | null }>({
    path,
    answer: null,
    refusal: null,
  });
  useEffect(() => {
    if (path === null) return;
    let wanted = true;
    ask<T>('GET', path).then(
      (answer) => wanted && setState({ path, answer, refusal: null }),
      (error: unknown) => {
        if (!(error instanceof Refusal)) throw error;
        if (wanted) setState({ path, answer: null, refusal: error });
      },
    );
    return () => {
      wanted = false;
    };
  }, [path, asOf]);
  const change = useCallback((to: (now: T) => T) => {
    setState((now) => (now.answer === null ? now : { ...now, answer: to(now.answer) }));
  }, []);
  const current = state.path === path;
  return { answer: current ? state.answer : null, refusal: current ? state.refusal : null, change };
}
