/** Keys that act on a page. They rest while somebody types, and a switch turns them off for good (WCAG 2.2, 2.1.4). */
import { useEffect, useRef } from 'preact/hooks';

export type Keys = Readonly<Record<string, () => void>>;

/** Listens while `on`; keys are those of `KeyboardEvent.key`, and act without Control, Alt and Meta only. */
export function useKeys(keys: Keys, on: boolean): void {
  const latest = useRef(keys);
  latest.current = keys;
  useEffect(() => {
    if (!on) return;
    const press = (event: KeyboardEvent) => {
      if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented || takesText(event.target)) return;
      const act = Object.hasOwn(latest.current, event.key) ? latest.current[event.key] : undefined;
      if (act === undefined) return;
      event.preventDefault();
      act();
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, [on]);
}

function takesText(target: EventTarget | null): boolean {
  if (!(target instanceof Element)) return false;
  return target.closest('input:not([type=checkbox]), textarea, select, [contenteditable]') !== null;
}
