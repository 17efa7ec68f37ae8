/**
 * Mean and standard deviation against the certified values of the NIST Statistical Reference Datasets, for the prefix sums
 * of the segmentation and for simple-statistics. NumAcc3 and NumAcc4 are built to break a one-pass sum of squares.
 *
 * Source: NIST StRD, univariate summary statistics. The certified values are exact to 15 digits. On NumAcc4 the data
 * themselves, as doubles, allow about 8.25 digits of the standard deviation (R 4.2.2, two passes).
 */
import { mean, sampleStandardDeviation } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { prefixSums, segmentCost, segmentMean } from '../../packages/episodes/src/statistics/segmentation.ts';
import { readJson, readStrd } from './published-data.ts';

const { certified } = z
  .object({ certified: z.record(z.string(), z.object({ n: z.number(), mean: z.number(), sd: z.number() })) })
  .parse(readJson('nist-strd-certified.json'));

/** Digits that agree: the log relative error of the StRD, at most 15. */
function digits(found: number, wanted: number): number {
  return found === wanted ? 15 : Math.min(15, -Math.log10(Math.abs(found - wanted) / Math.abs(wanted)));
}

/** Digits of the standard deviation that the data allow as doubles, per set; 12.5 where nothing stands against it. */
const allowed: Readonly<Record<string, number>> = { NumAcc3: 9.4, NumAcc4: 8.2 };

describe.each(Object.keys(certified))('%s', (name) => {
  const { n, mean: certifiedMean, sd } = certified[name] ?? { n: 0, mean: Number.NaN, sd: Number.NaN };
  const data = readStrd(name);

  test('has the certified number of observations', () => {
    expect(data.length).toBe(n);
  });

  test('prefix sums give the certified mean and standard deviation', () => {
    const prefix = prefixSums(data);
    expect(digits(segmentMean(prefix, 0, n), certifiedMean)).toBeGreaterThan(14);
    const found = Math.sqrt(segmentCost(prefix, 0, n) / (n - 1));
    expect(digits(found, sd)).toBeGreaterThan(allowed[name] ?? 12.5);
  });

  test('simple-statistics gives them too', () => {
    const values = [...data];
    expect(digits(mean(values), certifiedMean)).toBeGreaterThan(14);
    expect(digits(sampleStandardDeviation(values), sd)).toBeGreaterThan(allowed[name] ?? 12.5);
  });
});

test('all eight sets are here', () => {
  expect(Object.keys(certified)).toHaveLength(8);
});
