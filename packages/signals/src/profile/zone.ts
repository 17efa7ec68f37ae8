/**
 * Local times of a zone to instants. A local time that the clocks skip is none, one that they show twice is what the
 * profile says. Offsets are looked up once for each local hour, so that a row costs a division and a comparison; only
 * in an hour with a change of the clocks is every row looked up.
 */
import { Temporal } from './temporal.ts';

export type Ambiguous = 'reject' | 'earlier' | 'later';

const hourMs = 3_600_000;

/** Hours remembered; enough for a decade. */
const hoursMax = 100_000;

export class LocalClock {
  readonly #zone: string;
  readonly #ambiguous: Ambiguous;
  /** Offset of a local hour in ms, local less UTC; NaN where it changes within the hour. */
  readonly #offsets = new Map<number, number>();
  #lastHour = Number.NaN;
  #lastOffset = Number.NaN;
  /** Why the last instant was NaN. */
  failure: 'time-ambiguous' | 'time-skipped' = 'time-skipped';

  /** `zone` must pass {@link isZone}. */
  constructor(zone: string, ambiguous: Ambiguous) {
    this.#zone = zone;
    this.#ambiguous = ambiguous;
  }

  /** The instant of a local time given in ms as if it were UTC; NaN where it is none or not known which. */
  instant(localMs: number): number {
    const hour = Math.floor(localMs / hourMs);
    if (hour !== this.#lastHour) {
      this.#lastHour = hour;
      this.#lastOffset = this.#offsetOf(hour);
    }
    return Number.isNaN(this.#lastOffset) ? this.#lookUp(localMs) : localMs - this.#lastOffset;
  }

  #offsetOf(hour: number): number {
    const known = this.#offsets.get(hour);
    if (known !== undefined) return known;
    const [first, firstLater] = this.#offsetsAt(hour * hourMs);
    const [last, lastLater] = this.#offsetsAt((hour + 1) * hourMs - 1);
    const steady = first === firstLater && last === lastLater && first === last;
    const offset = steady ? first : Number.NaN;
    if (this.#offsets.size >= hoursMax) this.#offsets.clear();
    this.#offsets.set(hour, offset);
    return offset;
  }

  #lookUp(localMs: number): number {
    const [earlier, later] = this.#offsetsAt(Math.floor(localMs));
    if (earlier === later) return localMs - earlier;
    // Where the clocks go back the earlier instant has the larger offset; where they skip, it has the smaller one.
    if (earlier < later) {
      this.failure = 'time-skipped';
      return Number.NaN;
    }
    if (this.#ambiguous === 'reject') {
      this.failure = 'time-ambiguous';
      return Number.NaN;
    }
    return localMs - (this.#ambiguous === 'earlier' ? earlier : later);
  }

  /** Offsets in ms, local less UTC, of the earlier and the later instant that a local time may mean. */
  #offsetsAt(localMs: number): [number, number] {
    const local = Temporal.PlainDateTime.from(new Date(localMs).toISOString().replace('Z', ''));
    const offset = (disambiguation: 'earlier' | 'later') =>
      local.toZonedDateTime(this.#zone, { disambiguation }).offsetNanoseconds / 1e6;
    return [offset('earlier'), offset('later')];
  }
}

/** Whether the runtime knows a zone, such as `America/Chicago`, `UTC` or `+05:30`. */
export function isZone(zone: string): boolean {
  try {
    Temporal.PlainDateTime.from('2026-01-01').toZonedDateTime(zone, { disambiguation: 'earlier' });
    return true;
  } catch {
    // The runtime's word for a zone it does not know.
    return false;
  }
}
