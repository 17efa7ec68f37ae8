/** What the service refused, in its own sentence; a page that still waits says so. */
import type { Refusal } from '../server/ask.ts';

export function Waiting({ refusal }: { refusal: Refusal | null }) {
  if (refusal === null) return <p class="soft">Reading…</p>;
  return (
    <p class="refused" role="alert">
      {refusal.message}
    </p>
  );
}
