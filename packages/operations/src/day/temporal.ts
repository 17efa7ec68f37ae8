/** The part of the runtime's `Temporal` that is used here; the compiler's library does not describe it yet. */

interface ZonedDateTime {
  readonly epochMilliseconds: number;
  toPlainDate(): PlainDate;
}

interface PlainDate {
  add(duration: { readonly days: number }): PlainDate;
  /** The first instant of the day: where local midnight does not exist, the first that does. */
  toZonedDateTime(zone: string): ZonedDateTime;
  toString(): string;
}

interface TemporalPart {
  readonly Instant: { fromEpochMilliseconds(ms: number): { toZonedDateTimeISO(zone: string): ZonedDateTime } };
  readonly PlainDate: { from(text: string): PlainDate; compare(a: PlainDate, b: PlainDate): number };
}

export const { Temporal } = globalThis as unknown as { readonly Temporal: TemporalPart };
