/**
 * Judges lateness within one file, for one vehicle: a row whose time is more than the bound behind the newest time is late.
 *
 * A clock that jumps must not take the rest of the file with it, so a row more than an hour ahead of the newest time moves
 * that time only once a second row with another time within an hour of it confirms the jump; until then the rows that
 * follow are judged against the old newest time. Two rows that carry the old time on, and would be late after the jump,
 * refute it: the clock was wrong for that row alone. The first row of a file is such a jump too: nothing is late before two
 * rows agree. A rejected row leaves no trace, so judging the accepted rows again gives the same verdicts. Times are ms
 * since the epoch.
 */

/** Default of `--late-seconds`, in ms: the contract's 30 s. */
export const lateMsDefault = 30_000;

/** A row further ahead than this needs a second one to be believed. House policy: 1 h. */
const jumpMs = 3_600_000;

/** So many rows that carry the old time on refute a jump; one alone may have been overtaken by rows of after a silence. */
const refutingRows = 2;

/**
 * How many unconfirmed jumps are remembered. With more, the earliest counts as confirmed, so that a file of random times
 * cannot hold every row back.
 */
const jumpsMax = 64;

interface Jump {
  readonly timeMs: number;
  /** Rows since that carried the old time on. */
  refuting: number;
}

/** Shared, so that the many gates of a fleet without jumps hold no list of their own. */
const noJumps: readonly Jump[] = [];

export class LateGate {
  readonly boundMs: number;
  #newestMs = Number.NEGATIVE_INFINITY;
  #jumps = noJumps;

  /** `boundMs` 0 or more; `Infinity` makes nothing late. */
  constructor(boundMs: number = lateMsDefault) {
    if (!(boundMs >= 0)) throw new RangeError(`LateGate: a bound of ${boundMs} ms is not 0 or more`);
    this.boundMs = boundMs;
  }

  /** Newest time that two rows agree on; -Infinity before. */
  get newestMs(): number {
    return this.#newestMs;
  }

  /** A row earlier than this is late; -Infinity until two rows agree on the time. */
  get oldestAcceptedMs(): number {
    return this.#newestMs - this.boundMs;
  }

  /** Whether a row of this time is a jump that nothing has confirmed or refuted yet. */
  isUnsettled(timeMs: number): boolean {
    return this.#jumps.length > 0 && this.#jumps.some((jump) => jump.timeMs === timeMs);
  }

  /** Takes one row's time; false means that the row is late. */
  accept(timeMs: number): boolean {
    if (timeMs <= this.#newestMs) return timeMs >= this.#newestMs - this.boundMs;
    if (timeMs - this.#newestMs > jumpMs) this.#jump(timeMs);
    else {
      if (this.#jumps.length > 0) this.#refute(timeMs);
      this.#advance(timeMs);
    }
    return true;
  }

  #advance(newestMs: number): void {
    this.#newestMs = newestMs;
    if (this.#jumps.length > 0) this.#jumps = this.#jumps.filter((jump) => jump.timeMs > newestMs);
  }

  #refute(timeMs: number): void {
    for (const jump of this.#jumps) if (timeMs < jump.timeMs - this.boundMs) jump.refuting += 1;
    this.#jumps = this.#jumps.filter((jump) => jump.refuting < refutingRows);
  }

  #jump(timeMs: number): void {
    let confirmedMs = Number.NEGATIVE_INFINITY;
    for (const { timeMs: other } of this.#jumps) {
      if (other !== timeMs && Math.abs(other - timeMs) <= jumpMs) confirmedMs = Math.max(confirmedMs, other, timeMs);
    }
    if (confirmedMs > this.#newestMs) {
      this.#advance(confirmedMs);
      return;
    }
    if (this.isUnsettled(timeMs)) return;
    this.#jumps = [...this.#jumps, { timeMs, refuting: 0 }];
    if (this.#jumps.length > jumpsMax) this.#advance(Math.min(...this.#jumps.map((jump) => jump.timeMs)));
  }
}
