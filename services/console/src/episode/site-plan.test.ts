import { expect, it } from 'vitest';
import type { Evidence, Site } from '../server/messages.ts';
import { pathOf, planOf } from './site-plan.ts';

function evidence(
  rows: readonly (readonly [second: number, latitude: number | null, longitude: number | null])[],
): Evidence {
  return {
    times: rows.map(([second]) => new Date(second * 1000).toISOString()),
    columns: [
      { signal: 'latitude', unit: 'deg', values: rows.map(([, latitude]) => latitude) },
      { signal: 'longitude', unit: 'deg', values: rows.map(([, , longitude]) => longitude) },
    ],
  } as unknown as Evidence;
}

it('lays positions out in metres, east to the right and north up', () => {
  const { runs } = planOf(
    evidence([
      [0, 60.001, 10],
      [1, 60, 10.001],
    ]),
    { latitude: 60, longitude: 10 },
    undefined,
  );
  // A thousandth of a degree: 111.2 m north, and half of it east at 60 degrees.
  expect(runs[0]![0]!.y).toBeCloseTo(-111.2, 1);
  expect(runs[0]![1]!.x).toBeCloseTo(55.6, 1);
});

it('draws no line over a time without positions', () => {
  const { runs } = planOf(
    evidence([
      [0, 1, 1],
      [1, null, null],
      [2, 1, 1],
      [60, 1, 1],
    ]),
    { latitude: 1, longitude: 1 },
    undefined,
  );
  expect(runs.map((run) => run.length)).toEqual([2, 1]);
});

it('shows the bounds of the site where they are known', () => {
  const site = { circle: { latitude: 1, longitude: 1, radiusM: 80 } } as unknown as Site;
  expect(planOf(evidence([[0, 1, 1]]), { latitude: 1, longitude: 1 }, site).circle).toMatchObject({ radius: 80 });
  const square = {
    polygon: [
      [1, 1],
      [1.001, 1],
      [1.001, 1.001],
    ],
  } as unknown as Site;
  expect(planOf(evidence([[0, 1, 1]]), { latitude: 1, longitude: 1 }, square).polygon![2]!.y).toBeCloseTo(-111.2, 1);
  expect(
    pathOf([
      { x: 0, y: 1 },
      { x: 2.04, y: -3 },
    ]),
  ).toBe('M0.0 1.0L2.0 -3.0');
});
