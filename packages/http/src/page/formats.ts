/**
 * Which of the formats that an address offers the caller wants, by RFC 9110 section 12.5.1: the highest weight wins, the order
 * offered breaks ties, the most specific range counts.
 */
import { ProblemError } from '../problems/problem.ts';

export const mediaTypes = {
  json: 'application/json',
  ndjson: 'application/x-ndjson',
  csv: 'text/csv',
} as const;

export type Format = keyof typeof mediaTypes;

/** @throws ProblemError `not-acceptable` where none of those offered is wanted. */
export function chosenFormat(accept: string | undefined, offered: readonly Format[]): Format {
  if (accept === undefined || accept.trim() === '') return offered[0]!;
  const ranges = accept.split(',').map(parseRange);
  let best: Format | null = null;
  let bestWeight = 0;
  for (const format of offered) {
    const weight = weightOf(mediaTypes[format], ranges);
    if (weight > bestWeight) {
      best = format;
      bestWeight = weight;
    }
  }
  if (best !== null) return best;
  const names = offered.map((format) => mediaTypes[format]).join(', ');
  throw new ProblemError('not-acceptable', `This address gives ${names}; the request accepts only ${accept}.`);
}

interface Range {
  readonly type: string;
  readonly weight: number;
}

function parseRange(text: string): Range {
  const [type = '', ...parameters] = text.split(';').map((part) => part.trim().toLowerCase());
  const q = parameters.find((parameter) => parameter.startsWith('q='));
  const weight = q === undefined ? 1 : Number(q.slice(2));
  return { type, weight: Number.isFinite(weight) ? Math.min(1, Math.max(0, weight)) : 0 };
}

function weightOf(type: string, ranges: readonly Range[]): number {
  const family = `${type.split('/', 1)[0]}/*`;
  for (const wanted of [type, family, '*/*']) {
    const found = ranges.find((range) => range.type === wanted);
    if (found !== undefined) return found.weight;
  }
  return 0;
}
