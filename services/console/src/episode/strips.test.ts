import { expect, it } from 'vitest';
import type { Evidence } from '../server/messages.ts';
import { readOff, stripsOf } from './strips.ts';

function evidence(
  seconds: readonly number[],
  columns: Record<string, [unit: string, ...values: (number | null)[]]>,
): Evidence {
  const times = seconds.map((at) => new Date(at * 1000).toISOString());
  return {
    episodeId: 'e',
    startTime: times[0]!,
    endTime: times.at(-1)!,
    times,
    driverIds: times.map(() => null),
    columns: Object.entries(columns).map(([signal, [unit, ...values]]) => ({ signal, unit, values })),
  };
}

it('joins a signal that comes in every second row, and leaves a long silence empty', () => {
  const { strips } = stripsOf(
    evidence([0, 1, 2, 3, 4, 20, 21], { suspensionKpa: ['kPa', 60, null, 61, null, 62, null, 400] }),
    'metric',
  );
  // Between 4 and 20 s even the rows stop: an instant is put in that holds the gap.
  expect(strips[0]!.values).toEqual([60, undefined, 61, undefined, 62, null, null, 400]);
});

it('shows reverse travel below zero, by the last gear reported', () => {
  const { strips } = stripsOf(
    evidence([0, 1, 2, 3], { speedKph: ['km/h', 5, 6, 7, 8], gear: ['1', 1, -1, null, 2] }),
    'metric',
  );
  expect(strips.find(({ signal }) => signal === 'speedKph')?.values).toEqual([5, -6, -7, 8]);
});

it('says nothing of direction where no gear was reported', () => {
  const { strips } = stripsOf(evidence([0, 1], { speedKph: ['km/h', 5, 6] }), 'metric');
  expect(strips[0]).toMatchObject({ title: 'Speed', values: [5, 6] });
});

it('names what was not reported, and takes engine speed where there is no pedal', () => {
  const { strips, missing } = stripsOf(
    evidence([0, 1], { engineRpm: ['r/min', 600, 700], acceleratorPct: ['%', null, null] }),
    'metric',
  );
  expect(strips.map(({ title }) => title)).toEqual(['Engine speed']);
  expect(missing).toEqual(['drive-axle load', 'speed', 'gear', 'parking brake']);
});

it('draws in the units of the reader', () => {
  const { strips } = stripsOf(evidence([0, 1], { suspensionKpa: ['kPa', 100, 200] }), 'us');
  expect(strips[0]!.unit).toBe('psi');
  expect(strips[0]!.values[0]).toBeCloseTo(14.5, 1);
});

it('reads off what was last reported, not across a gap', () => {
  const strip = { signal: 's', title: 's', unit: '', stepped: false, values: [1, undefined, null, null, 2] };
  expect([0, 1, 2, 3, 4].map((place) => readOff(strip, place))).toEqual([1, 1, null, null, 2]);
});
