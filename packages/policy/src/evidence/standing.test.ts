import { describe, expect, it } from 'vitest';
import { at, evidenceOf, type Row, rowsEvery } from '../testing/scene.ts';
import { samplesOf } from './samples.ts';
import { roomForStandstill, type Stretch, surelyStopped, sureStandstills } from './standing.ts';

const spans = (stretches: readonly Stretch[]) =>
  stretches.map(({ startMs, endMs }) => [(startMs - at(0)) / 1000, (endMs - at(0)) / 1000]);

/** Moves until 10 s, reads 0 until 30 s, moves again; `held` is what holds it while it reads 0. */
const stop = (held: Partial<Row>, every = 1): Row[] =>
  rowsEvery(every, 0, 40, (t) =>
    t < 10 || t > 30 ? { speedKph: 3 + t / 100, gear: 1 } : { speedKph: 0, gear: 1, ...held },
  );

const sure = (rows: readonly Row[]) => spans(sureStandstills(evidenceOf(rows), 'suspensionKpa', at(0), at(40)));

describe('a standstill that is sure', () => {
  it('lasts as long as its zeros with the parking brake applied', () => {
    expect(sure(stop({ parkingBrake: 1 }))).toEqual([[10, 30]]);
  });

  it('begins after the ramp with the brake pedal pressed, for a truck rolls to rest with it', () => {
    expect(sure(stop({ serviceBrake: 1 }))).toEqual([[12, 30]]);
    expect(sure(stop({ gear: 0 }))).toEqual([[12, 30]]);
  });

  it('is shorter by both ramps where only zeros show it', () => {
    expect(sure(rowsEvery(1, 0, 40, (t) => ({ speedKph: t < 10 || t > 30 ? 3 + t / 100 : 0 })))).toEqual([[12, 28]]);
  });

  it('is none where a gear is in and both brakes are reported off, for the truck may creep', () => {
    expect(sure(stop({ parkingBrake: 0, serviceBrake: 0 }))).toEqual([]);
  });

  it('is none where both brakes are reported off and nobody knows the gear', () => {
    const unknown = rowsEvery(1, 0, 40, (t) => ({
      speedKph: t < 10 || t > 30 ? 3 + t / 100 : 0,
      parkingBrake: 0,
      serviceBrake: 0,
    }));
    expect(sure(unknown)).toEqual([]);
  });

  it('is none in reverse where nobody knows of a foot on the brake, for backing is often slower than the sensor sees', () => {
    expect(sure(stop({ gear: -1, parkingBrake: 0 }))).toEqual([]);
    expect(sure(stop({ gear: 1, parkingBrake: 0 }))).toEqual([[12, 28]]);
  });

  it('is none between samples 5 s apart with a foot on the brake in a gear, for a short pull fits between them', () => {
    const sparse = (held: Partial<Row>) =>
      spans(sureStandstills(evidenceOf(stop(held, 5), { cadence: { usualMs: 5000 } }), 'suspensionKpa', at(0), at(40)));
    expect(sparse({ serviceBrake: 1 })).toEqual([]);
    expect(sparse({ parkingBrake: 1 })).toEqual([[10, 30]]);
  });

  it('is none where pressure moves in gear', () => {
    const rows = stop({}).map((row) => ({ ...row, suspensionKpa: 60 + 10 * row.t }));
    expect(sure(rows)).toEqual([]);
  });

  it('does not reach over a gap in which the speed does not stand', () => {
    const rows = stop({ serviceBrake: 1 }).filter((row) => row.t < 15 || row.t > 20);
    expect(sure(rows)).toEqual([
      [12, 14],
      [23, 30],
    ]);
  });

  it('reaches over a silence of the whole vehicle, parked at both ends and at the same place', () => {
    const rows = stop({ parkingBrake: 1 }).filter((row) => row.t < 15 || row.t > 20);
    expect(sure(rows)).toEqual([[10, 30]]);
    const towed = rows.map((row) => ({ ...row, latitude: row.t < 18 ? 41 : 41.001, longitude: -95 }));
    expect(sure(towed)).toHaveLength(2);
  });
});

describe('room for a standstill', () => {
  const room = (rows: readonly Row[], to = 40) => roomForStandstill(evidenceOf(rows), at(0), at(to));

  it('reaches to the moving samples around the zeros', () => {
    expect(spans(room(stop({ parkingBrake: 1 })))).toEqual([[9, 31]]);
  });

  it('is every gap of more than 1.5 s between moving samples', () => {
    const rows = rowsEvery(1, 0, 40, (t) => ({ speedKph: 3 + t / 100 })).filter((row) => row.t < 20 || row.t > 24);
    expect(spans(room(rows))).toEqual([[19, 25]]);
  });

  it('is open where the rows begin or end standing', () => {
    const [whole] = room(
      [
        { t: 0, speedKph: 0 },
        { t: 1, speedKph: 0 },
      ],
      1,
    );
    expect(whole).toMatchObject({ openEnd: true, openStart: true });
  });
});

it('a truck has surely stopped once held for as long as a pedal takes to stop it', () => {
  const evidence = evidenceOf(stop({ serviceBrake: 1 }));
  const speed = samplesOf(evidence, 'speedKph');
  expect([10, 11, 12, 13].map((i) => surelyStopped(evidence, speed, i))).toEqual([false, false, true, true]);
});
