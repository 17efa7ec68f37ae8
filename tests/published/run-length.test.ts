/**
 * Average run lengths of CUSUM and EWMA: how many samples until a signal, in control (the false-alarm budget) and after a
 * shift. Simulated from a fixed seed; each mean must lie within four standard errors of the published one, so the bound
 * tightens by itself where more runs are made.
 *
 * Source: R package spc 0.6.7 (xcusum.arl, xewma.arl, xcusum.crit); for two-sided CUSUM with k = 0.5 the same numbers are
 * the classic table of NIST/SEMATECH e-Handbook section 6.3.2.3 and of Lucas and Crosier 1982.
 */
import { describe, expect, test } from 'vitest';
import { Random } from '../../fixtures/src/random.ts';
import { startCusum, stepCusum } from '../../packages/episodes/src/statistics/cusum.ts';
import { ewmaLimits, stepEwma } from '../../packages/episodes/src/statistics/ewma.ts';

/** Samples spent on each cell of the tables. */
const budget = 1_500_000;

/** Mean run length within the budget and its standard error; `run` gives the length of one run. */
function meanRunLength(run: () => number): { mean: number; error: number } {
  let runs = 0;
  let sum = 0;
  let squares = 0;
  while (sum < budget && runs < 200_000) {
    const length = run();
    runs += 1;
    sum += length;
    squares += length * length;
  }
  const mean = sum / runs;
  return { mean, error: Math.sqrt((squares / runs - mean * mean) / runs) };
}

function expectWithinError(found: { mean: number; error: number }, published: number): void {
  expect(found.error / published).toBeLessThan(0.03);
  expect(Math.abs(found.mean - published)).toBeLessThan(4 * found.error);
}

function cusumRun(random: Random, limit: number, shift: number, oneSided: boolean): number {
  const design = { target: 0, allowance: 0.5, limit };
  const state = startCusum(design);
  for (let length = 1; ; length += 1) {
    const signal = stepCusum(design, state, random.normal() + shift);
    if (oneSided ? state.high > limit : signal !== null) return length;
  }
}

function ewmaRun(random: Random, weight: number, width: number, shift: number): number {
  const { low, high } = ewmaLimits(weight, 0, 1, width);
  let average = 0;
  for (let length = 1; ; length += 1) {
    average = stepEwma(weight, average, random.normal() + shift);
    if (average > high || average < low) return length;
  }
}

const shifts = [0, 0.25, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4];
const twoSided: [number, number[]][] = [
  [4, [167.6838, 74.224, 26.6302, 13.2851, 8.3831, 4.7472, 3.3428, 2.6195, 2.1945, 1.7085]],
  [5, [465.4435, 139.4937, 37.9961, 17.0483, 10.376, 5.7472, 4.0089, 3.1137, 2.5733, 2.0126]],
];

describe('two-sided CUSUM, k = 0.5', () => {
  const cells = twoSided.flatMap(([limit, row]) => row.map((arl, i) => [limit, shifts[i] ?? Number.NaN, arl] as const));
  test.each([...cells, [5.07070385, 0, 500] as const])(
    'h = %d, shift %d sigma: %d samples',
    (limit, shift, published) => {
      const random = new Random('two-sided', limit, shift);
      expectWithinError(
        meanRunLength(() => cusumRun(random, limit, shift, false)),
        published,
      );
    },
  );
});

describe('one-sided CUSUM, k = 0.5', () => {
  test.each([
    [4, 0, 335.3676],
    [5, 0, 930.887],
    [4, 1, 8.3832],
    [5, 1, 10.376],
  ])('h = %d, shift %d sigma: %d samples', (limit, shift, published) => {
    const random = new Random('one-sided', limit, shift);
    expectWithinError(
      meanRunLength(() => cusumRun(random, limit, shift, true)),
      published,
    );
  });
});

describe('two-sided EWMA', () => {
  test.each([
    [0.3, 3, 0, 465.5534],
    [0.3, 3, 0.5, 53.1603],
    [0.3, 3, 1, 11.6986],
    [0.3, 3, 2, 3.5063],
    [0.1, 2.814, 0, 499.5796],
    [0.1, 2.814, 0.25, 106.3219],
    [0.1, 2.814, 0.5, 31.2974],
    [0.1, 2.814, 1, 10.3307],
    [0.1, 2.814, 2, 4.3623],
  ])('weight %d, width %d, shift %d sigma: %d samples', (weight, width, shift, published) => {
    const random = new Random('ewma', weight, shift);
    expectWithinError(
      meanRunLength(() => ewmaRun(random, weight, width, shift)),
      published,
    );
  });
});
