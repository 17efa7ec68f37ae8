/**
 * Readings in PostgreSQL's binary COPY format (PostgreSQL manual, COPY, 'Binary Format'): a header, a row as a count of
 * fields and each field as its length and big-endian bytes, a trailer. No figure is printed and parsed on the way, so a
 * double arrives as it was.
 */
import type { ReadingBatch } from '@gearhold/signals';
import { signalColumns } from './columns.ts';

/** 2000-01-01T00:00:00Z, from which PostgreSQL counts microseconds, in ms since 1970. */
const postgresEpochMs = 946_684_800_000;

const header = Buffer.from([0x50, 0x47, 0x43, 0x4f, 0x50, 0x59, 0x0a, 0xff, 0x0d, 0x0a, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
const trailer = Buffer.from([0xff, 0xff]);

const fieldCount = 3 + signalColumns.length;
/** Without its texts, a row takes at most: the count, the length of each field, and 8 bytes for each but the texts. */
const rowBytesMax = 2 + 4 * fieldCount + 8 * (1 + signalColumns.length);

/** The microsecond that an instant is stored at, as ms since the epoch. */
export function storedMs(timeMs: number): number {
  return Math.round(timeMs * 1000) / 1000;
}

/** Rows of a batch as one COPY input with the columns vehicle_id, time, driver_id and the signals. */
export function encodeReadings(batch: ReadingBatch, rows?: readonly number[]): Uint8Array[] {
  const { timesMs, values, vehicleIds, driverIds } = batch;
  const count = rows?.length ?? batch.length;
  let textBytes = 0;
  for (let i = 0; i < count; i++) {
    const row = rows === undefined ? i : rows[i]!;
    // A UTF-16 unit is at most 3 bytes of UTF-8.
    textBytes += 3 * (vehicleIds[row]!.length + (driverIds[row]?.length ?? 0));
  }
  const bytes = Buffer.allocUnsafe(count * rowBytesMax + textBytes);
  let at = 0;
  const text = (value: string | null): void => {
    if (value === null) {
      at = bytes.writeInt32BE(-1, at);
      return;
    }
    const length = bytes.write(value, at + 4);
    bytes.writeInt32BE(length, at);
    at += 4 + length;
  };
  for (let i = 0; i < count; i++) {
    const row = rows === undefined ? i : rows[i]!;
    at = bytes.writeInt16BE(fieldCount, at);
    text(vehicleIds[row]!);
    at = bytes.writeInt32BE(8, at);
    at = writeMicros(bytes, at, timesMs[row]!);
    text(driverIds[row]!);
    const from = row * signalColumns.length;
    for (let s = 0; s < signalColumns.length; s++) {
      const value = values[from + s]!;
      if (Number.isNaN(value)) {
        at = bytes.writeInt32BE(-1, at);
      } else if (signalColumns[s]!.type === 'float8') {
        at = bytes.writeInt32BE(8, at);
        at = bytes.writeDoubleBE(value, at);
      } else if (signalColumns[s]!.type === 'int2') {
        at = bytes.writeInt32BE(2, at);
        at = bytes.writeInt16BE(value, at);
      } else {
        at = bytes.writeInt32BE(1, at);
        at = bytes.writeUInt8(flagByte(value), at);
      }
    }
  }
  return [header, bytes.subarray(0, at), trailer];
}

/** @throws RangeError where a flag is neither 0 nor 1: the readers let no other through */
function flagByte(value: number): number {
  if (value !== 0 && value !== 1) throw new RangeError(`store: a flag is 0 or 1, not ${value}`);
  return value;
}

/** Microseconds since 2000 as a signed 64-bit number, in two halves: a BigInt a row would be dear. */
function writeMicros(bytes: Buffer, at: number, timeMs: number): number {
  const micros = Math.round(timeMs * 1000) - postgresEpochMs * 1000;
  const high = Math.floor(micros / 0x1_0000_0000);
  const low = micros - high * 0x1_0000_0000;
  return bytes.writeUInt32BE(low, bytes.writeInt32BE(high, at));
}
