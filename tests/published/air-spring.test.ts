/**
 * Load from pressure: at ride height the gauge pressure of an air spring is affine in the load on the axle, so the
 * trailer's share of a full kingpin load reads off the pressures as off a scale.
 *
 * Source: an air-spring maker's design guide, trailing-arm example, p. 56: one spring carries 7045 lb at 100 psig and 6340 lb
 * at 90 psig at its design height; an axle of 20,000 lb with 800 lb unsprung puts 9600 lb on each side through a lever ratio
 * of 1.36 at 100 psig or 1.52 at 90 psig. The axle loads of the three states are common practice (bobtail 8,000 lb, empty
 * trailer 11,000 lb) and half of the legal tandem of 34,000 lb; no measured table of a tractor was found.
 */
import { type Episode, FleetTracker } from '@gearhold/episodes';
import { signalCount, signalIndex } from '@gearhold/signals';
import { describe, expect, test } from 'vitest';
import { convert } from '../../packages/signals/src/units.ts';

const lbPerPsi = 70.45;
const leverRatio = 1.52;

/** Gauge pressure, kPa, of the springs of a drive axle that carries this much, lb. */
function pressureOf(axleLb: number): number {
  return convert((axleLb - 800) / 2 / leverRatio / lbPerPsi, 'psi', 'kPa');
}

const bobtailLb = 8_000;
const emptyLb = 11_000;
const fullLb = 17_000;

describe('the design example', () => {
  test('one spring is proportional to gauge pressure', () => {
    expect(7045 / 100).toBeCloseTo(lbPerPsi, 2);
    expect(6340 / 90).toBeCloseTo(lbPerPsi, 1);
  });

  test('20,000 lb on the axle is 9600 lb a side: 100 psig through the shorter lever, 90 through the longer', () => {
    expect(9600 / 1.36 / lbPerPsi).toBeCloseTo(100.2, 1);
    expect(9600 / leverRatio / lbPerPsi).toBeCloseTo(89.65, 1);
  });

  test('the three states compute to about 230, 330 and 520 kPa', () => {
    expect([bobtailLb, emptyLb, fullLb].map((load) => Math.round(pressureOf(load)))).toEqual([232, 328, 522]);
  });

  test('shares of pressure are shares of load', () => {
    const share = (pressureOf(emptyLb) - pressureOf(bobtailLb)) / (pressureOf(fullLb) - pressureOf(bobtailLb));
    expect(share).toBeCloseTo((emptyLb - bobtailLb) / (fullLb - bobtailLb), 12);
  });
});

/** A tractor that drives up, backs under a trailer of this axle load, stands and drives off: one reading a second. */
function couple(axleLb: number): Episode[] {
  const found: Episode[] = [];
  const levels = { bobtailKpa: pressureOf(bobtailLb), loadedKpa: pressureOf(fullLb) };
  const fleet = new FleetTracker({
    vehicles: [{ vehicleId: 'T-1', levels }],
    onEpisode: (episode) => found.push(episode),
  });
  let second = 0;
  const drive = (
    seconds: number,
    speedKph: number,
    gear: number,
    parkingBrake: number,
    loadLb: (share: number) => number,
  ) => {
    for (let i = 0; i < seconds; i += 1) {
      const values = new Float64Array(signalCount).fill(Number.NaN);
      values[signalIndex.speedKph] = speedKph;
      values[signalIndex.gear] = gear;
      values[signalIndex.parkingBrake] = parkingBrake;
      values[signalIndex.suspensionKpa] = pressureOf(loadLb((i + 1) / seconds));
      fleet.accept('T-1', Date.UTC(2026, 2, 2, 6) + second * 1000, 'D-1', values, 0);
      second += 1;
    }
  };
  drive(300, 60, 8, 0, () => bobtailLb);
  drive(60, 0, 0, 1, () => bobtailLb);
  drive(12, 4, -1, 0, () => bobtailLb);
  drive(6, 4, -1, 0, (share) => bobtailLb + share * (axleLb - bobtailLb));
  drive(240, 0, 0, 1, () => axleLb);
  drive(300, 60, 8, 0, () => axleLb);
  fleet.finish();
  return found;
}

describe('a truck with these springs', () => {
  test.each([
    [emptyLb, 'empty'],
    [13_000, 'part'],
    [fullLb, 'loaded'],
  ] as const)('that takes %d lb on its drive axle has taken a trailer that is %s', (axleLb, trailerLoad) => {
    const [episode, ...others] = couple(axleLb);
    expect(others).toEqual([]);
    expect(episode).toMatchObject({ kind: 'coupling', trailerLoad });
    expect(episode?.levelBefore).toBeCloseTo(pressureOf(bobtailLb), 6);
    expect(episode?.levelAfter).toBeCloseTo(pressureOf(axleLb), 6);
  });
});
