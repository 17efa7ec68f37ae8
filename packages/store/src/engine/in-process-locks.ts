/** Named locks within one process: for an engine that only one process can have open, that is the whole world. */
import type { HeldLock } from './engine.ts';

export class InProcessLocks {
  readonly #held = new Set<string>();

  /** Takes the lock, or gives null where it is held. */
  tryLock(name: string): HeldLock | null {
    if (this.#held.has(name)) return null;
    this.#held.add(name);
    let held = true;
    return {
      lost: new AbortController().signal,
      release: async () => {
        // A second release must not free a lock that somebody else has taken since.
        if (held) this.#held.delete(name);
        held = false;
      },
    };
  }
}
