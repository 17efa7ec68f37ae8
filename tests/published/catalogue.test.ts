/**
 * The signal catalogue against the truck's bus: numbers, ranges and published worked examples. A raw value that stands for
 * an error or for 'not available' must fall outside the catalogue's range, so that it can never pass for a measurement.
 *
 * Sources: J1939 numbers, scales and ranges as in `j1939.ts`. Worked examples, each recomputed: pretty_j1939 README and
 * `tests/candump.log`; j1939decode README; a genset manual (Thomson MEC 310 option J, p. 13); EngineSpeedPacketTest and
 * issues 859 and 1157 of Equipment-and-Tool-Institute/j1939-84; J1939-Framework `genericframe_test.cpp`; identifiers from
 * TruckDevil, can-utils and cantools. Frames of a driving truck: SystemsCyber/J1939_Attack_Datasets, `normal.log`, public
 * research data, whose values are our own arithmetic.
 */
import { type SignalName, signalDefinition } from '@gearhold/signals';
import { describe, expect, test } from 'vitest';
import { type BusSignal, busSignals, fromRaw, groupOf, largestRaw, rawOf } from './j1939.ts';

function busSignal(name: SignalName): BusSignal {
  const found = busSignals.find((signal) => signal.name === name);
  if (!found) throw new Error(`${name} has no place on the bus`);
  return found;
}

/** What the catalogue lets through of a raw value: the measurement, or null for 'not reported'. */
function reported(signal: BusSignal, raw: number): number | null {
  const value = fromRaw(signal, raw);
  const { min, max } = signalDefinition(signal.name);
  return value >= min && value <= max ? value : null;
}

test.each(busSignals)('$name carries SPN $spn', ({ name, spn }) => {
  expect(signalDefinition(name).spn).toBe(spn);
});

test.each([
  ['speedKph', 0, 250.996],
  ['engineRpm', 0, 8031.875],
  ['acceleratorPct', 0, 100],
  ['torquePct', -125, 125],
  ['gear', -125, 125],
  ['suspensionKpa', 0, 6425.5],
  ['rideHeightMm', -3200, 3225.5],
  ['axleLoadKg', 0, 128510],
] as const)('%s ends where the bus ends: %d to %d', (name, min, max) => {
  const signal = busSignal(name);
  expect(signalDefinition(name)).toMatchObject({ min, max });
  expect(fromRaw(signal, 0)).toBe(min);
  // The published range of the speed is rounded to three decimals.
  expect(fromRaw(signal, largestRaw(signal))).toBeCloseTo(max, 3);
});

test('the axle weight of SPN 582, at most 32127.5 kg, fits the axle load', () => {
  expect(0.5 * 0xfaff).toBe(32127.5);
  expect(signalDefinition('axleLoadKg').max).toBeGreaterThan(32127.5);
});

test('positions and headings end at the globe, within what the bus can carry', () => {
  for (const [name, min, max] of [
    ['latitude', -90, 90],
    ['longitude', -180, 180],
    ['headingDeg', 0, 360],
  ] as const) {
    const signal = busSignal(name);
    expect(signalDefinition(name)).toMatchObject({ min, max });
    expect(fromRaw(signal, largestRaw(signal))).toBeGreaterThan(max);
  }
  expect(fromRaw(busSignal('latitude'), 0xfaffffff)).toBeCloseTo(211.1081215, 9);
});

test.each(busSignals)('$name: raw values for error and not available are not reported', (signal) => {
  const high = 2 ** (signal.bits - 8);
  const special = signal.bits === 2 ? [2, 3] : [0xfe * high, 0xff * high, 2 ** signal.bits - 1];
  expect(special.map((raw) => reported(signal, raw))).toEqual(special.map(() => null));
});

test("a gearbox in park sends raw 251: not reported unless a profile's codes say 0", () => {
  expect(reported(busSignal('gear'), 251)).toBeNull();
});

describe('published frames', () => {
  test.each([
    ['0CF00400', '20 7D 87 48 14 00 F0 87', 'engineRpm', 649],
    ['0CF00400', '20 7D 87 48 14 00 F0 87', 'torquePct', 10],
    ['0CF00400', 'F0 7D 83 83 17 00 FF 83', 'engineRpm', 752.375],
    ['0CF00400', 'FF 7D 7D E0 15 FF F0 FF', 'engineRpm', 700],
    ['0CF00400', '11 22 33 60 09 66 77 88', 'engineRpm', 300],
    ['0CF00400', '11 22 33 FF FE 66 77 88', 'engineRpm', null],
    ['0CF00400', '11 22 33 FF FF 66 77 88', 'engineRpm', null],
    ['0CF00400', '11 22 33 FF FA 66 77 88', 'engineRpm', 8031.875],
    ['18FEF120', 'FF 00 50 9F FF FF 1F FF', 'speedKph', 80],
    ['18FEF120', 'FF 00 50 9F FF FF 1F FF', 'serviceBrake', 1],
    ['18FEF120', 'FF 00 50 9F FF FF 1F FF', 'clutch', null],
    ['1CFEF150', 'FF 00 32 6F FF FF E5 FF', 'speedKph', 50],
    ['1CFEF150', 'FF 00 32 6F FF FF E5 FF', 'serviceBrake', null],
    ['1CFEF150', 'FF 00 32 6F FF FF E5 FF', 'clutch', 1],
    ['18FEF10B', 'FF 00 00 FF FF FF FF FF', 'speedKph', 0],
    ['18FEF10B', 'FF 00 00 FF FF FF FF FF', 'parkingBrake', null],
    ['18FEF10B', 'FF 00 00 FF FF FF FF FF', 'serviceBrake', null],
    ['18FEF10B', 'FF 00 00 FF FF FF FF FF', 'clutch', null],
    ['0CF00300', 'D1 01 08 FF FF FF 6E FF', 'acceleratorPct', 0.4],
    // Bits counted from the least significant one: a set parking brake and a released pedal. Read from the other end,
    // as one public decoder does, the same byte says the opposite.
    ['18FEF131', 'F7 FF FF 07 CC FF FF FF', 'parkingBrake', 1],
    ['18FEF131', 'F7 FF FF 07 CC FF FF FF', 'serviceBrake', 0],
    ['18FEF131', 'F7 FF FF 07 CC FF FF FF', 'clutch', 0],
    ['0CFDCC05', 'FF 2F FF FF FF FF FF FF', 'hazardLamps', null],
  ] as const)('%s %s: %s is %d', (id, data, name, value) => {
    const signal = busSignal(name);
    expect(groupOf(Number.parseInt(id, 16))).toBe(signal.pgn);
    const found = reported(signal, rawOf(signal, data));
    if (value === null) expect(found).toBeNull();
    else expect(found).toBeCloseTo(value, 9);
  });

  test.each([
    ['18EA00FF', 0xea00],
    ['19234080', 0x12300],
    ['14123456', 0x1200],
    ['18FEF120', 65265],
  ])('identifier %s names parameter group %d', (id, group) => {
    expect(groupOf(Number.parseInt(id, 16))).toBe(group);
  });
});

describe('frames of a truck that speeds up from 23 to 54 km/h', () => {
  test.each([
    ['18FEF100', 'FF 34 17 FC FF 68 00 CF', 'speedKph', 23.203125],
    ['18FEF100', 'FF 64 36 FC FF 68 00 CF', 'speedKph', 54.390625],
    // A second control unit sends the same group with the switches and no speed: merged signal by signal, its missing
    // speed must not hide the first one's.
    ['18FEF131', 'F3 FF FF C3 CC FF FF F0', 'speedKph', null],
    ['18FEF131', 'F3 FF FF C3 CC FF FF F0', 'parkingBrake', 0],
    ['18FEF131', 'F3 FF FF C3 CC FF FF F0', 'serviceBrake', 0],
    ['18FEF100', 'FF 34 17 FC FF 68 00 CF', 'parkingBrake', null],
    ['0CF00400', '21 9B 9B DD 2F 00 0F 9B', 'engineRpm', 1531.625],
    ['0CF00400', '21 9B 9B DD 2F 00 0F 9B', 'torquePct', 30],
    ['0CF00300', 'D0 66 25 FF FF 0F 86 82', 'acceleratorPct', 40.8],
    ['18F00503', '7F 12 07 7F 35 20 32 43', 'gear', 2],
    ['18F00503', '81 E8 03 81 35 20 34 4C', 'gear', 4],
  ] as const)('%s %s: %s is %d', (id, data, name, value) => {
    const signal = busSignal(name);
    expect(groupOf(Number.parseInt(id, 16))).toBe(signal.pgn);
    const found = reported(signal, rawOf(signal, data));
    if (value === null) expect(found).toBeNull();
    else expect(found).toBeCloseTo(value, 9);
  });
});
