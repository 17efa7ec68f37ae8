/**
 * Times in a Unicode date pattern (UTS #35), such as `yyyy-MM-dd HH:mm:ss.SSS`, from the bytes of a cell. A pattern is
 * compiled once into steps. Understood: y, M, d, H, h with a, m, s, S, E, X, x, Z, text in quotes and everything that is not a
 * letter; month and weekday names in English. Two letters or more mean that many digits, one letter as many as there are.
 */
import { daysFromEpoch, daysInMonth } from '../cell/rfc3339.ts';

/** What a step fills in; `offset` in minutes, NaN until one was read. */
interface Fields {
  year: number;
  month: number;
  day: number;
  hour: number;
  minute: number;
  second: number;
  fractionMs: number;
  /** 0 morning, 12 afternoon, NaN for a clock of 24 hours. */
  half: number;
  offset: number;
}

/** Reads from `at` and returns where it stopped, -1 where the cell does not fit. */
type Step = (bytes: Uint8Array, at: number, end: number, fields: Fields) => number;

export interface DatePattern {
  /** Whether the pattern carries its own offset from UTC. */
  readonly hasOffset: boolean;
  /**
   * Ms since the epoch of what stands in `bytes[start, end)`: the instant with an offset, else the local time as if it were
   * UTC. NaN where the cell does not fit or the calendar has no such time.
   */
  parse(bytes: Uint8Array, start: number, end: number): number;
}

const months = 'january february march april may june july august september october november december'.split(' ');
const weekdays = 'monday tuesday wednesday thursday friday saturday sunday'.split(' ');

const supported = 'y, M, d, H, h, a, m, s, S, E, X, x and Z';

/** Compiles a pattern; a string says what is wrong with it. */
export function compilePattern(pattern: string): DatePattern | string {
  const steps: Step[] = [];
  const letters = new Set<string>();
  for (const part of pattern.matchAll(/'((?:[^']|'')*)'|([A-Za-z])\2*|[^A-Za-z']|'/gu)) {
    const [text, quoted, letter] = part;
    if (text === "'") return 'expected a closing quote';
    if (letter === undefined) {
      steps.push(literal(quoted === undefined ? text : quoted === '' ? "'" : quoted.replaceAll("''", "'")));
      continue;
    }
    const step = field(letter, text.length);
    if (step === null) return `expected the letters ${supported}, and other letters in quotes, found ${text}`;
    const meaning = letter === 'x' || letter === 'Z' ? 'X' : letter === 'h' ? 'H' : letter;
    if (letters.has(meaning)) return `expected ${letter} once`;
    letters.add(meaning);
    if (letter === 'h') letters.add('h');
    steps.push(step);
  }
  const missing = ['y', 'M', 'd', 'H'].filter((letter) => !letters.has(letter));
  if (missing.length > 0) return `expected year, month, day and hour; the pattern lacks ${missing.join(', ')}`;
  if (letters.has('h') !== letters.has('a'))
    return 'expected h and a together: the hour of a clock of 12 needs its half';
  const hasOffset = letters.has('X');
  return { hasOffset, parse: (bytes, start, end) => instantOf(steps, bytes, start, end) };
}

function instantOf(steps: readonly Step[], bytes: Uint8Array, start: number, end: number): number {
  const f: Fields = {
    year: 0,
    month: 0,
    day: 0,
    hour: 0,
    minute: 0,
    second: 0,
    fractionMs: 0,
    half: Number.NaN,
    offset: Number.NaN,
  };
  let at = start;
  for (const step of steps) {
    at = step(bytes, at, end, f);
    if (at < 0) return Number.NaN;
  }
  if (at !== end || f.day < 1 || f.day > daysInMonth(f.year, f.month)) return Number.NaN;
  if (f.hour > 23 || f.minute > 59 || f.second > 59) return Number.NaN;
  if (!Number.isNaN(f.half)) {
    if (f.hour < 1 || f.hour > 12) return Number.NaN;
    f.hour = (f.hour % 12) + f.half;
  }
  const minutes = f.hour * 60 + f.minute - (Number.isNaN(f.offset) ? 0 : f.offset);
  return (daysFromEpoch(f.year, f.month, f.day) * 86_400 + minutes * 60 + f.second) * 1000 + f.fractionMs;
}

function field(letter: string, count: number): Step | null {
  switch (letter) {
    case 'y':
      if (count === 2) {
        return digits(2, 2, (f, value) => {
          f.year = 2000 + value;
        });
      }
      return count > 4
        ? null
        : digits(count, 4, (f, value) => {
            f.year = value;
          });
    case 'M':
      if (count > 4) return null;
      if (count > 2)
        return word(months, count, (f, index) => {
          f.month = index + 1;
        });
      return digits(count, 2, (f, value) => {
        f.month = value;
      });
    case 'd':
      return short(count, (f, value) => {
        f.day = value;
      });
    case 'H':
    case 'h':
      return short(count, (f, value) => {
        f.hour = value;
      });
    case 'm':
      return short(count, (f, value) => {
        f.minute = value;
      });
    case 's':
      return short(count, (f, value) => {
        f.second = value;
      });
    case 'S':
      return count > 12
        ? null
        : digits(count, count, (f, value) => {
            f.fractionMs = (value * 1000) / 10 ** count;
          });
    case 'a':
      return word(['am', 'pm'], 4, (f, index) => {
        f.half = index * 12;
      });
    case 'E':
      return count > 4 ? null : word(weekdays, Math.max(3, count), () => {});
    case 'X':
    case 'x':
    case 'Z':
      return count > 5 ? null : offset(letter !== 'x');
    default:
      return null;
  }
}

/** A field of one or two digits. */
function short(count: number, set: (fields: Fields, value: number) => void): Step | null {
  return count > 2 ? null : digits(count, 2, set);
}

/** `count` digits, or, for a single letter, one to `most`. */
function digits(count: number, most: number, set: (fields: Fields, value: number) => void): Step {
  const limit = count === 1 ? most : count;
  return (bytes, at, end, fields) => {
    let value = 0;
    let i = at;
    for (; i < end && i - at < limit; i++) {
      const digit = bytes[i]! - 48;
      if (digit < 0 || digit > 9) break;
      value = value * 10 + digit;
    }
    if (i - at < count) return -1;
    set(fields, value);
    return i;
  };
}

/** A name in any case: in full for four letters, else its first three. */
function word(names: readonly string[], count: number, set: (fields: Fields, index: number) => void): Step {
  const wanted = names.map((name) => (count > 3 ? name : name.slice(0, 3)));
  return (bytes, at, end, fields) => {
    for (const [index, name] of wanted.entries()) {
      if (at + name.length > end) continue;
      let i = 0;
      while (i < name.length && (bytes[at + i]! | 32) === name.charCodeAt(i)) i++;
      if (i < name.length) continue;
      set(fields, index);
      return at + i;
    }
    return -1;
  };
}

/** `+HH`, `+HHmm` or `+HH:mm`; `Z` too where `zulu`. */
function offset(zulu: boolean): Step {
  return (bytes, at, end, fields) => {
    if (zulu && at < end && (bytes[at]! | 32) === 122) {
      fields.offset = 0;
      return at + 1;
    }
    const sign = bytes[at] === 43 ? 1 : bytes[at] === 45 ? -1 : 0;
    const hours = pair(bytes, at + 1, end);
    if (sign === 0 || !(hours <= 23)) return -1;
    let i = at + 3;
    const minutesAt = i < end && bytes[i] === 58 ? i + 1 : i;
    const minutes = pair(bytes, minutesAt, end);
    if (minutesAt > i && Number.isNaN(minutes)) return -1;
    if (minutes > 59) return -1;
    if (!Number.isNaN(minutes)) i = minutesAt + 2;
    fields.offset = sign * (hours * 60 + (Number.isNaN(minutes) ? 0 : minutes));
    return i;
  };
}

function pair(bytes: Uint8Array, at: number, end: number): number {
  if (at + 2 > end) return Number.NaN;
  const tens = bytes[at]! - 48;
  const ones = bytes[at + 1]! - 48;
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : Number.NaN;
}

function literal(text: string): Step {
  const expected = Buffer.from(text);
  return (bytes, at, end) => {
    if (at + expected.length > end) return -1;
    for (let i = 0; i < expected.length; i++) if (bytes[at + i] !== expected[i]) return -1;
    return at + expected.length;
  };
}
