/** Sentences on standard error. */
import { printable } from './printable.ts';

/** A sentence as it is printed on standard error: named, and ended. */
export function complaint(sentence: string): string {
  const text = printable(sentence.trim(), 2000);
  return `gearhold: ${text}${/[.!?]$/.test(text) ? '' : '.'}`;
}
