/** Times of somebody else's file: RFC 3339, counts since the epoch, or a date pattern in a zone. */
import { parseDecimal } from '../cell/decimal.ts';
import { daysFromEpoch, parseRfc3339 } from '../cell/rfc3339.ts';
import type { TimeReader } from '../intake/mapping.ts';
import type { RejectReason } from '../intake/report.ts';
import { compilePattern, type DatePattern } from './pattern.ts';
import type { SourceProfile } from './schema.ts';
import { LocalClock } from './zone.ts';

/** The years that RFC 3339 can write, 0000 to 9999, in ms since the epoch. */
const firstMs = daysFromEpoch(0, 1, 1) * 86_400_000;
const beyondMs = daysFromEpoch(10_000, 1, 1) * 86_400_000;

export function timeReader(time: SourceProfile['time'], mark: number): TimeReader {
  if (time.format === 'iso') return { failure: 'time', fromBytes: parseRfc3339, fromNumber: () => Number.NaN };
  // Seconds are rounded to the microsecond: the double of a decimal fraction is not exact, the instant meant is.
  if (time.format === 'epochSeconds') return count(mark, (seconds) => Math.round(seconds * 1e6) / 1e3);
  if (time.format === 'epochMilliseconds') return count(mark, (milliseconds) => milliseconds);
  const pattern = compilePattern(time.format);
  if (typeof pattern === 'string') throw new RangeError(`time.format: ${pattern}`);
  const clock = pattern.hasOffset ? null : new LocalClock(time.zone ?? 'UTC', time.ambiguous);
  return new PatternReader(pattern, clock);
}

function count(mark: number, toMs: (value: number) => number): TimeReader {
  const fromNumber = (value: number) => {
    const ms = toMs(value);
    return ms >= firstMs && ms < beyondMs ? ms : Number.NaN;
  };
  return {
    failure: 'time',
    fromBytes: (bytes, start, end) => fromNumber(parseDecimal(bytes, start, end, mark)),
    fromNumber,
  };
}

class PatternReader implements TimeReader {
  readonly #pattern: DatePattern;
  readonly #clock: LocalClock | null;
  failure: RejectReason = 'time';

  constructor(pattern: DatePattern, clock: LocalClock | null) {
    this.#pattern = pattern;
    this.#clock = clock;
  }

  fromBytes(bytes: Uint8Array, start: number, end: number): number {
    const ms = this.#pattern.parse(bytes, start, end);
    if (this.#clock === null || Number.isNaN(ms)) {
      this.failure = 'time';
      return ms;
    }
    const instant = this.#clock.instant(ms);
    if (Number.isNaN(instant)) this.failure = this.#clock.failure;
    return instant;
  }

  fromNumber(value: number): number {
    const bytes = Buffer.from(String(value));
    return this.fromBytes(bytes, 0, bytes.length);
  }
}
