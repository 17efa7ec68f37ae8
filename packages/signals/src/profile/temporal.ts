/** The part of the runtime's `Temporal` that is used here; the compiler's library does not describe it yet. */

export interface Instant {
  readonly epochMilliseconds: number;
  toString(): string;
}

export interface ZonedDateTime {
  readonly epochMilliseconds: number;
  readonly offsetNanoseconds: number;
}

export interface PlainDateTime {
  toZonedDateTime(zone: string, options: { readonly disambiguation: 'earlier' | 'later' }): ZonedDateTime;
}

interface TemporalPart {
  readonly Instant: { from(text: string): Instant };
  readonly PlainDateTime: { from(text: string): PlainDateTime };
}

export const { Temporal } = globalThis as unknown as { readonly Temporal: TemporalPart };
