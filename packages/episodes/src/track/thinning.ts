/**
 * Long standstills are thinned: deep inside one, a row that says nothing new is not needed by any check, and a parked truck
 * at ten rows a second would fill the memory. Rows within 150 s of either end of the standstill stay, and so does every row
 * in which a switch or the gear changes; in between one row in 10 s is enough for every duration that a policy asks for.
 */
import type { SignalName } from '@gearhold/signals';
import type { History } from './history.ts';

const edgeMs = 150_000;
const keptEveryMs = 10_000;
const switches: readonly SignalName[] = [
  'gear',
  'parkingBrake',
  'serviceBrake',
  'clutch',
  'suspensionDump',
  'ignition',
  'driverLoggedIn',
  'driverDoorOpen',
  'trailerLinked',
  'hazardLamps',
  'headlamps',
];

/** Thins the standstills of a history up to `nowMs`, leaving what was thinned before `doneMs` as it is. */
export function thinStandstill(history: History, doneMs: number, nowMs: number): void {
  const speed = history.column('speedKph');
  if (speed === null) return;
  const times = history.timesMs;
  const columns = switches.map((name) => history.column(name)).filter((column) => column !== null);
  const keep = new Uint8Array(history.length).fill(1);
  let row = 0;
  while (row < history.length) {
    if (speed[row] > 0) {
      row += 1;
      continue;
    }
    let end = row;
    while (end < history.length && !(speed[end] > 0)) end += 1;
    const untilMs = (end === history.length ? nowMs : times[end]) - edgeMs;
    let lastKept = times[row];
    for (let r = row + 1; r < end - 1; r++) {
      if (times[r] < times[row] + edgeMs || times[r] > untilMs || times[r] < doneMs) {
        lastKept = times[r];
        continue;
      }
      const changes = columns.some((c) => !Number.isNaN(c[r]) && c[r] !== c[r - 1]);
      if (changes || times[r] - lastKept >= keptEveryMs) lastKept = times[r];
      else keep[r] = 0;
    }
    row = end;
  }
  history.retain(keep);
}
