/**
 * Numbers of a state that survives as JSON. JSON has neither NaN ('not known') nor infinities ('none so far'): both become
 * null, and whoever reads one back knows which of them its field means.
 */
import { z } from 'zod';

export const jsonNumber = z.number().nullable();
export type JsonNumber = z.infer<typeof jsonNumber>;

export function toJsonNumber(value: number): JsonNumber {
  return Number.isFinite(value) ? value : null;
}

/** `none` is what null stands for in the field: NaN, or an infinity. */
export function fromJsonNumber(value: JsonNumber, none = Number.NaN): number {
  return value ?? none;
}

/** What a ring buffer holds after `count` values were written to it one after the other, oldest first. */
export function ringToJson(ring: Float64Array, count: number): JsonNumber[] {
  const size = ring.length;
  const kept = Math.min(size, count);
  return Array.from({ length: kept }, (_, i) => toJsonNumber(ring[(count - kept + i) % size]));
}

/** The ring again; the next value goes to index `values.length` modulo its size. */
export function ringFromJson(ring: Float64Array, values: readonly JsonNumber[]): void {
  values.forEach((value, i) => {
    ring[i] = fromJsonNumber(value);
  });
}
