/**
 * RFC 3339 times from the bytes of a cell: ms since the epoch, fractions of a second of any length kept as far as a
 * double holds them. The whole calendar is checked. `T` and `Z` may be lower case, and a space may stand for `T`
 * (section 5.6). An offset of `-00:00` counts as UTC (section 4.3).
 *
 * A leap second (second 60) is taken only where one can be: 23:59:60 UTC on the last day of June or December. It is read
 * as the first second of the next day, as POSIX time does.
 */

const daysBefore = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];

/** Digits of a second's fraction that are read; a double has no room for more. */
const fractionDigits = 15;

/** The instant in `bytes[start, end)`, or NaN where it is not RFC 3339. */
export function parseRfc3339(bytes: Uint8Array, start: number, end: number): number {
  if (end - start < 20) return Number.NaN;
  const year = two(bytes, start) * 100 + two(bytes, start + 2);
  const month = two(bytes, start + 5);
  const day = two(bytes, start + 8);
  const hour = two(bytes, start + 11);
  const minute = two(bytes, start + 14);
  const second = two(bytes, start + 17);
  if (!(year + month + day + hour + minute + second >= 0)) return Number.NaN;
  const between = bytes[start + 10];
  if (between !== 84 && between !== 116 && between !== 32) return Number.NaN;
  if (bytes[start + 4] !== 45 || bytes[start + 7] !== 45) return Number.NaN;
  if (bytes[start + 13] !== 58 || bytes[start + 16] !== 58) return Number.NaN;
  if (hour > 23 || minute > 59 || second > 60 || day > daysInMonth(year, month)) return Number.NaN;
  if (month === 0 || day === 0) return Number.NaN;

  let i = start + 19;
  let fractionMs = 0;
  if (bytes[i] === 46) {
    i++;
    const from = i;
    let digits = 0;
    let scale = 1;
    for (; i < end; i++) {
      const digit = bytes[i]! - 48;
      if (digit < 0 || digit > 9) break;
      if (i - from < fractionDigits) {
        digits = digits * 10 + digit;
        scale *= 10;
      }
    }
    if (i === from) return Number.NaN;
    fractionMs = (digits * 1000) / scale;
  }
  let offsetMinutes = 0;
  if (i < end && (bytes[i]! | 32) === 122) i++;
  else {
    const sign = bytes[i] === 43 ? 1 : bytes[i] === 45 ? -1 : 0;
    if (sign === 0 || end - i !== 6 || bytes[i + 3] !== 58) return Number.NaN;
    const offsetHour = two(bytes, i + 1);
    const offsetMinute = two(bytes, i + 4);
    if (!(offsetHour <= 23) || !(offsetMinute <= 59)) return Number.NaN;
    offsetMinutes = sign * (offsetHour * 60 + offsetMinute);
    i += 6;
  }
  if (i !== end) return Number.NaN;
  const seconds = daysFromEpoch(year, month, day) * 86_400 + hour * 3600 + (minute - offsetMinutes) * 60 + second;
  if (second === 60 && !isLeapSecond(seconds)) return Number.NaN;
  return seconds * 1000 + fractionMs;
}

/** Days from 1970-01-01 to a date of the proleptic Gregorian calendar; year 0 or later, month 1 to 12. */
export function daysFromEpoch(year: number, month: number, day: number): number {
  const leapDay = month > 2 && isLeapYear(year) ? 1 : 0;
  const y = year - 1;
  const leaps = Math.floor(y / 4) - Math.floor(y / 100) + Math.floor(y / 400);
  return year * 365 + leaps + daysBefore[month - 1]! + leapDay + day - 719_528;
}

/** Days in a month; 0 for a month that does not exist. */
export function daysInMonth(year: number, month: number): number {
  if (month === 2) return isLeapYear(year) ? 29 : 28;
  if (month < 1 || month > 12) return 0;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

function isLeapYear(year: number): boolean {
  return year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
}

/** `secondsAfter` is the instant that a second 60 is read as, in s: it must begin a January or a July. */
function isLeapSecond(secondsAfter: number): boolean {
  if (secondsAfter % 86_400 !== 0) return false;
  const date = new Date(secondsAfter * 1000);
  return date.getUTCDate() === 1 && (date.getUTCMonth() === 0 || date.getUTCMonth() === 6);
}

/** Two digits as a number, NaN where they are none. */
function two(bytes: Uint8Array, at: number): number {
  const tens = bytes[at]! - 48;
  const ones = bytes[at + 1]! - 48;
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : Number.NaN;
}
