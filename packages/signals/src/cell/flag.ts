/** A two-state cell: 0 or 1, or `true` and `false` in any case. */
import { parseDecimal } from './decimal.ts';

const words: readonly (readonly [string, number])[] = [
  ['true', 1],
  ['false', 0],
];

/** 0 or 1 as the number in `bytes[start, end)`, or NaN; other numbers come back as they are, for the range to refuse. */
export function parseFlag(bytes: Uint8Array, start: number, end: number, mark?: number): number {
  if (end - start === 1) {
    const digit = bytes[start]! - 48;
    if (digit === 0 || digit === 1) return digit;
  }
  for (const [word, value] of words) if (isWord(bytes, start, end, word)) return value;
  return parseDecimal(bytes, start, end, mark);
}

function isWord(bytes: Uint8Array, start: number, end: number, word: string): boolean {
  if (end - start !== word.length) return false;
  for (let i = 0; i < word.length; i++) if ((bytes[start + i]! | 32) !== word.charCodeAt(i)) return false;
  return true;
}
