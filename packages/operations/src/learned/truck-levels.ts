/** What is known of one truck at the end of its rows, in its wire form. Pure. */
import { type Cadence, contradictions, type LearnedVehicle } from '@gearhold/episodes';
import { checkReaches, type Policy, type Site } from '@gearhold/policy';
import type { TruckLevels } from '@gearhold/schemas';
import { type SignalName, signalNames } from '@gearhold/signals';
import type { ReportTally } from './report-tally.ts';

export interface Asked {
  readonly policy: Policy;
  readonly sites: readonly Site[];
}

export function truckLevels(
  truck: LearnedVehicle,
  tally: ReportTally,
  episodes: Readonly<Record<string, number>>,
  { policy, sites }: Asked,
): TruckLevels {
  const { vehicleId, vehicle, loadSignal, learned, seen, sensed } = truck;
  const reported = signalNames.filter((name) => tally.of(name) > 0);
  const cadence = (signal: SignalName): Cadence | null => (tally.of(signal) > 0 ? truck.cadence(signal) : null);
  const { coupled } = seen;
  const trailers = { count: coupled.length, lightest: round(coupled[0]), heaviest: round(coupled.at(-1)) };
  return {
    vehicleId,
    rows: tally.rows,
    firstTime: new Date(tally.firstMs).toISOString(),
    lastTime: new Date(tally.lastMs).toISOString(),
    driveSuspension: vehicle?.driveSuspension ?? null,
    loadSignal,
    unit: loadSignal === null ? null : loadSignal === 'axleLoadKg' ? 'kg' : 'kPa',
    levels: {
      bobtail: levelOf(learned.bobtail, 'bobtailKpa', truck),
      empty: levelOf(learned.empty, 'emptyKpa', truck),
      loaded: levelOf(learned.loaded, 'loadedKpa', truck),
    },
    bobtailTransfers: seen.bobtailTransfers,
    trailers: coupled.length === 0 ? null : trailers,
    noise: sensed.noise === null ? null : round(sensed.noise),
    step: sensed.step === null ? null : round(sensed.step),
    blindSpeedKph: { value: round(learned.blindSpeedKph), basis: blindBasis(truck) },
    idleRpm: learned.idleRpm,
    releasedPedalPct: learned.releasedPedalPct === null ? null : round(learned.releasedPedalPct),
    signals: reported.map((signal) => signalOf(signal, truck.cadence(signal), tally)),
    notReported: signalNames.filter((name) => tally.of(name) === 0),
    contradictions: contradictions(truck).map((one) => ({ ...one, seen: round(one.seen) })),
    episodes,
    checks: checkReaches(policy, { vehicleId, vehicle, loadSignal, cadence }, sites).map(({ check, reach, why }) => {
      return { check, reach, why: [...why] };
    }),
  };
}

function levelOf(
  value: number | null,
  name: 'bobtailKpa' | 'emptyKpa' | 'loadedKpa',
  { vehicle, seen }: LearnedVehicle,
): TruckLevels['levels']['bobtail'] {
  if (value === null) return null;
  const stated = seen.statedHolds && vehicle?.levels?.[name] === value;
  return { value: round(value), basis: stated ? 'stated' : 'learned' };
}

function blindBasis({ vehicle, sensed }: LearnedVehicle): TruckLevels['blindSpeedKph']['basis'] {
  if (vehicle?.blindSpeedKph !== undefined) return 'stated';
  return sensed.blindSpeedKph === null ? 'assumed' : 'learned';
}

function signalOf(signal: SignalName, { mode, usualMs }: Cadence, tally: ReportTally): TruckLevels['signals'][number] {
  const rows = tally.of(signal);
  const everySeconds = mode === 'periodic' ? round(usualMs / 1000) : null;
  return { signal, mode, everySeconds, rows, share: Number((rows / tally.rows).toFixed(4)) };
}

/** Hundredths are more than any of these sensors shows. */
function round(value: number | undefined): number {
  return Number((value ?? Number.NaN).toFixed(2));
}
