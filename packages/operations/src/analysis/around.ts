/**
 * The readings around an episode, whole and of all signals, as they are stored: what led to it, it, and what came right
 * after. A truck that stood for half a day within its episode is kept at one row a few seconds.
 */

import { catalogue, signalCount } from '@gearhold/signals';
import { type EvidenceRows, type ReadingPage, readReadings, type Transaction } from '@gearhold/store';

/** Kept before the start and after the end of an episode, ms: as much as the tracker looks at. */
const beforeMs = 240_000;
const afterMs = 120_000;
/** Most rows that are kept of one episode; of more, rows are left out evenly where the truck stands. */
const rowsMax = 7200;

const columns = catalogue.map(({ name, unit }) => ({ name, unit }));
const speedAt = catalogue.findIndex(({ name }) => name === 'speedKph');

/** @param span start and end of the episode, ms since the epoch */
export async function readingsAround(
  transaction: Transaction,
  vehicleId: string,
  span: { readonly startMs: number; readonly endMs: number },
): Promise<EvidenceRows> {
  const pages: ReadingPage[] = [];
  const asked = { vehicleId, fromMs: span.startMs - beforeMs, untilMs: span.endMs + afterMs };
  for await (const page of readReadings(transaction, asked)) pages.push(page);
  const rows = pages.reduce((sum, { length }) => sum + length, 0);
  const every = Math.ceil(rows / rowsMax);
  const timesMs: number[] = [];
  const driverIds: (string | null)[] = [];
  const values: number[] = [];
  let standing = 0;
  for (const page of pages) {
    for (let row = 0; row < page.length; row++) {
      const at = row * signalCount;
      standing = page.values[at + speedAt] === 0 ? standing + 1 : 0;
      if (standing % every !== 0 && standing > every) continue;
      timesMs.push(page.timesMs[row]!);
      driverIds.push(page.driverIds[row]!);
      for (let s = 0; s < signalCount; s++) values.push(page.values[at + s]!);
    }
  }
  return { columns, timesMs, driverIds, values: Float64Array.from(values) };
}
