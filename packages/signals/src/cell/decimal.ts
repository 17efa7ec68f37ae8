/**
 * A decimal number from the bytes of a cell, without making a string of it. Accepted: an optional sign, digits with at
 * most one decimal mark, an optional exponent, blanks around it; the value is the one `Number` gives. Hexadecimal, NaN,
 * Infinity, thousands marks and what overflows a double are not numbers. Negative zero becomes zero.
 */

const space = 32;
const tab = 9;
const point = 46;

/** Powers of ten that a double holds exactly. */
const powers = Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));

/** Below this, one more digit keeps the mantissa an exact integer. */
const mantissaRoom = (Number.MAX_SAFE_INTEGER - 9) / 10;

/** The number in `bytes[start, end)`, or NaN. `mark` is the byte of the decimal mark: 46 for a point, 44 for a comma. */
export function parseDecimal(bytes: Uint8Array, start: number, end: number, mark: number = point): number {
  let i = start;
  let last = end;
  while (i < last && isBlank(bytes[i]!)) i++;
  while (last > i && isBlank(bytes[last - 1]!)) last--;
  const first = i;
  const negative = bytes[i] === 45;
  if (i < last && (negative || bytes[i] === 43)) i++;
  let mantissa = 0;
  let digits = 0;
  let decimals = 0;
  let marked = false;
  let exact = true;
  for (; i < last; i++) {
    const digit = bytes[i]! - 48;
    if (digit >= 0 && digit <= 9) {
      if (mantissa > mantissaRoom) exact = false;
      mantissa = mantissa * 10 + digit;
      digits++;
      if (marked) decimals++;
    } else if (bytes[i] === mark && !marked) marked = true;
    else break;
  }
  if (digits === 0) return Number.NaN;
  if (i < last && !isExponent(bytes, i, last)) return Number.NaN;
  if (i === last && exact && decimals <= 22) {
    const value = decimals === 0 ? mantissa : mantissa / powers[decimals]!;
    return negative ? 0 - value : value;
  }
  return slowly(bytes, first, last, mark);
}

/** Whether `bytes[start, end)` is blank: nothing but spaces and tabs. */
export function isBlankCell(bytes: Uint8Array, start: number, end: number): boolean {
  for (let i = start; i < end; i++) if (!isBlank(bytes[i]!)) return false;
  return true;
}

function isBlank(byte: number): boolean {
  return byte === space || byte === tab;
}

function isExponent(bytes: Uint8Array, at: number, end: number): boolean {
  let i = at;
  if ((bytes[i]! | 32) !== 101) return false;
  i++;
  if (bytes[i] === 43 || bytes[i] === 45) i++;
  if (i >= end) return false;
  for (; i < end; i++) if (bytes[i]! < 48 || bytes[i]! > 57) return false;
  return true;
}

function slowly(bytes: Uint8Array, start: number, end: number, mark: number): number {
  let text = '';
  for (let i = start; i < end; i++) text += bytes[i] === mark ? '.' : String.fromCharCode(bytes[i]!);
  const value = Number(text);
  return Number.isFinite(value) ? value + 0 : Number.NaN;
}
