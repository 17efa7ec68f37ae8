/**
 * What `gearhold levels` calls out of reach is out of reach: on simulated trucks whose signals are taken away one after the
 * other, no episode has a verdict that was said to be impossible there.
 */
import { generateSet } from '@gearhold/fixtures';
import type { Companions } from '@gearhold/operations/inputs';
import { builtInPolicy, type Site, type WireCheck } from '@gearhold/policy';
import type { TruckLevels } from '@gearhold/schemas';
import { contractMapping, type SignalName, signalCount, signalIndex } from '@gearhold/signals';
import { describe, expect, it } from 'vitest';
import { levelsEngine } from '../../services/cli/src/levels/levels-engine.ts';

interface Row {
  readonly vehicleId: string;
  readonly timeMs: number;
  readonly driverId: string | null;
  readonly values: Float64Array;
}

const rows: Row[] = [];
const made = generateSet('all-signals', 'tuning-levels', 4, (vehicleId, timeMs, driverId, values) => {
  rows.push({ vehicleId, timeMs, driverId, values: values.slice(0, signalCount) });
});
const known: Companions = {
  policy: builtInPolicy,
  vehicles: made.vehicles as unknown as Companions['vehicles'],
  sites: made.sites as unknown as readonly Site[],
  mapping: contractMapping,
};

interface Seen {
  readonly trucks: readonly TruckLevels[];
  readonly verdicts: readonly { readonly vehicleId: string; readonly check: WireCheck }[];
}

/** Every row, or each fifth and so on, without some signals. */
function analyse(companions: Companions, every: number, without: readonly SignalName[]): Seen {
  const trucks: TruckLevels[] = [];
  const verdicts: { vehicleId: string; check: WireCheck }[] = [];
  const engine = levelsEngine(companions, (truck) => trucks.push(truck));
  const tracker = engine.tracker((episode) => {
    for (const check of engine.judge(episode).checks) verdicts.push({ vehicleId: episode.vehicleId, check });
  });
  let vehicle: string | null = null;
  let row = 0;
  for (const { vehicleId, timeMs, driverId, values } of rows) {
    if (vehicle !== null && vehicle !== vehicleId) tracker.finishVehicle(vehicle);
    vehicle = vehicleId;
    row += 1;
    if (row % every !== 0) continue;
    const sent = values.slice();
    for (const signal of without) sent[signalIndex[signal]] = Number.NaN;
    tracker.accept(vehicleId, timeMs, driverId, sent, 0);
  }
  if (vehicle !== null) tracker.finishVehicle(vehicle);
  return { trucks, verdicts };
}

const impossible: Readonly<Record<string, readonly string[]>> = {
  judged: [],
  'never-judged': ['met', 'missed'],
  'never-missed': ['missed'],
  'never-met': ['met'],
  'not-asked': ['met', 'missed', 'undetermined'],
};

describe('no verdict falls that was said to be out of reach', () => {
  it.each<[what: string, every: number, without: readonly SignalName[], atLeastOut: number]>([
    ['with every signal', 1, [], 0],
    ['without gear', 1, ['gear'], 5],
    ['without accelerator', 1, ['acceleratorPct'], 0],
    ['without accelerator and engine speed', 1, ['acceleratorPct', 'engineRpm'], 1],
    ['without torque', 1, ['torquePct'], 1],
    ['without parking brake and door', 1, ['parkingBrake', 'driverDoorOpen'], 1],
    ['without lamps and position', 1, ['hazardLamps', 'headlamps', 'latitude', 'longitude'], 2],
    ['with a row every 5 s', 5, [], 4],
    ['without pressure and axle load', 1, ['suspensionKpa', 'axleLoadKg'], 16],
  ])('%s', (_, every, without, atLeastOut) => {
    const { trucks, verdicts } = analyse(known, every, without);
    expect(trucks).toHaveLength(4);
    expect(verdicts.length > 100).toBe(!without.includes('suspensionKpa'));
    for (const { checks } of trucks) {
      expect(checks.filter(({ reach }) => reach !== 'judged').length).toBeGreaterThanOrEqual(atLeastOut);
    }
    const broken = verdicts.filter(({ vehicleId, check }) => {
      const truck = trucks.find((one) => one.vehicleId === vehicleId)!;
      const said = truck.checks.find((one) => one.check === check.check)!;
      return impossible[said.reach]!.includes(check.outcome);
    });
    expect(
      broken.map(({ vehicleId, check }) => `${vehicleId} ${check.check}: ${check.outcome}, ${check.reason}`),
    ).toEqual([]);
  });

  it('without companion files', () => {
    const { trucks, verdicts } = analyse({ ...known, vehicles: [], sites: [] }, 1, []);
    const surface = verdicts.filter(({ check }) => check.check === 'loaded-drop-surface');
    expect(surface.length).toBeGreaterThan(0);
    expect(surface.filter(({ check }) => check.outcome === 'met' || check.outcome === 'missed')).toEqual([]);
    for (const { checks } of trucks)
      expect(checks.find(({ check }) => check === 'loaded-drop-surface')?.reach).toBe('never-judged');
  });
});
