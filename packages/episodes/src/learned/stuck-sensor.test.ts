import { expect, it } from 'vitest';
import { StuckSensor } from './stuck-sensor.ts';

/** Drives for some seconds at 50 km/h; `load` gives each second's sample. Returns the second at which the sensor is said to be stuck. */
function drive(
  sensor: StuckSensor,
  fromSecond: number,
  seconds: number,
  load: (second: number) => number,
): number | null {
  for (let s = fromSecond; s < fromSecond + seconds; s++) if (sensor.observe(s * 1000, load(s), 50)) return s;
  return null;
}

const restless = (second: number) => 100 + (second % 7);

it('says that a sensor is stuck that repeats itself while the road shakes the springs, and since when', () => {
  const sensor = new StuckSensor();
  expect(drive(sensor, 0, 120, restless)).toBeNull();
  expect(drive(sensor, 120, 60, () => 324)).toBeLessThan(140);
  expect(sensor.stuck).toBe(true);
  expect(sensor.sinceMs).toBe(120_000);
  sensor.observe(200_000, 101, 50);
  expect(sensor.stuck).toBe(false);
});

it('believes a standstill, and a coarse sensor that often repeats itself', () => {
  const standing = new StuckSensor();
  drive(standing, 0, 120, restless);
  for (let s = 120; s < 1000; s++) expect(standing.observe(s * 1000, 103, 0)).toBe(false);
  const coarse = new StuckSensor();
  expect(drive(coarse, 0, 400, (s) => (s % 40 < 38 ? 100 : 110))).toBeNull();
});

it('takes zeros for empty springs where the air went over seconds, and for a fault where it went at once', () => {
  const emptied = new StuckSensor();
  drive(emptied, 0, 120, restless);
  for (const [i, level] of [60, 35, 20, 10, 4].entries()) emptied.observe((120 + i) * 1000, level, 0);
  expect(drive(emptied, 125, 120, () => 0)).toBeNull();
  const shorted = new StuckSensor();
  drive(shorted, 0, 120, restless);
  expect(drive(shorted, 120, 60, () => 0)).not.toBeNull();
});

it('says nothing before it knows how restless the sensor is', () => {
  expect(drive(new StuckSensor(), 0, 50, () => 200)).toBeNull();
});
