/**
 * Where the signals of the catalogue stand on a truck's bus, as far as open sources tell: parameter group, place, scale and
 * offset. Enough to read a frame in a test; the product itself reads no frames.
 *
 * Source: extract of the J1939 digital annex of October 2020 in the public repository Equipment-and-Tool-Institute/j1939-84
 * (facts only), with a second witness for scale and offset in a public decoder header.
 */
import type { SignalName } from '@gearhold/signals';

export interface BusSignal {
  readonly spn: number;
  /** The catalogue's signal that it feeds. */
  readonly name: SignalName;
  readonly pgn: number;
  /** First bit of the field, from 0 = least significant bit of the first byte, and bits. */
  readonly firstBit: number;
  readonly bits: number;
  readonly resolution: number;
  readonly offset: number;
}

const bytes = (first: number, count: number) => ({ firstBit: (first - 1) * 8, bits: count * 8 });
const switchAt = (byte: number, bit: number) => ({
  firstBit: (byte - 1) * 8 + bit - 1,
  bits: 2,
  resolution: 1,
  offset: 0,
});

const ccvs1 = 0xfef1;
const eec1 = 0xf004;

export const busSignals: readonly BusSignal[] = [
  { spn: 84, name: 'speedKph', pgn: ccvs1, ...bytes(2, 2), resolution: 1 / 256, offset: 0 },
  { spn: 70, name: 'parkingBrake', pgn: ccvs1, ...switchAt(1, 3) },
  { spn: 597, name: 'serviceBrake', pgn: ccvs1, ...switchAt(4, 5) },
  { spn: 598, name: 'clutch', pgn: ccvs1, ...switchAt(4, 7) },
  { spn: 190, name: 'engineRpm', pgn: eec1, ...bytes(4, 2), resolution: 0.125, offset: 0 },
  { spn: 513, name: 'torquePct', pgn: eec1, ...bytes(3, 1), resolution: 1, offset: -125 },
  { spn: 91, name: 'acceleratorPct', pgn: 0xf003, ...bytes(2, 1), resolution: 0.4, offset: 0 },
  { spn: 523, name: 'gear', pgn: 0xf005, ...bytes(4, 1), resolution: 1, offset: -125 },
  { spn: 1728, name: 'suspensionKpa', pgn: 0xfe58, ...bytes(7, 2), resolution: 0.1, offset: 0 },
  { spn: 1723, name: 'rideHeightMm', pgn: 0xfe59, ...bytes(7, 2), resolution: 0.1, offset: -3200 },
  { spn: 409, name: 'axleLoadKg', pgn: 0xfd6a, ...bytes(2, 2), resolution: 2, offset: 0 },
  { spn: 584, name: 'latitude', pgn: 0xfef3, ...bytes(1, 4), resolution: 1e-7, offset: -210 },
  { spn: 585, name: 'longitude', pgn: 0xfef3, ...bytes(5, 4), resolution: 1e-7, offset: -210 },
  { spn: 165, name: 'headingDeg', pgn: 0xfee8, ...bytes(1, 2), resolution: 1 / 128, offset: 0 },
  { spn: 2875, name: 'hazardLamps', pgn: 0xfdcc, ...switchAt(2, 5) },
];

/** Largest raw value of a field that carries a measurement: 250, 64255, 4211081215 for 1, 2 and 4 bytes. */
export function largestRaw(signal: BusSignal): number {
  return signal.bits === 2 ? 1 : 0xfb * 2 ** (signal.bits - 8) - 1;
}

export function fromRaw(signal: BusSignal, raw: number): number {
  return raw * signal.resolution + signal.offset;
}

/** Parameter group of a 29-bit identifier. */
export function groupOf(id: number): number {
  const format = (id >>> 16) & 0xff;
  return ((id >>> 8) & 0x3ff00) | (format >= 240 ? (id >>> 8) & 0xff : 0);
}

/** Raw value of a field in up to eight bytes of hexadecimal, low byte first. */
export function rawOf(signal: BusSignal, data: string): number {
  const low = data.split(' ').reduce((sum, byte, i) => sum + (BigInt(`0x${byte}`) << BigInt(8 * i)), 0n);
  return Number((low >> BigInt(signal.firstBit)) & (2n ** BigInt(signal.bits) - 1n));
}
