/** A table that may be wider than the page: it is scrolled within its own place, by keyboard too. */
import type { ComponentChildren } from 'preact';

export function Scroll({ label, children }: { label: string; children: ComponentChildren }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what can be scrolled must be reached by keyboard
    <section class="scroll" aria-label={label} tabIndex={0}>
      {children}
    </section>
  );
}
