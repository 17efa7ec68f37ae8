/**
 * Every vehicle whose readings are new or changed gone through again, one after the other. The nightly batch, a second look
 * at rows that came late and a service beside them use this same code, so that they agree.
 */
import { dirtyVehicles, type Engine } from '@gearhold/store';
import { analyseVehicle, type VehicleOptions, type VehicleOutcome } from './analyse-vehicle.ts';
import { Fleet } from './fleet.ts';

export interface AnalysisOptions extends VehicleOptions {
  /** IANA name of the fleet's zone. */
  readonly zone: string;
  /** Only these. Defaults to all that are due. */
  readonly vehicles?: readonly string[];
  /** Called after each vehicle. */
  readonly onVehicle?: (outcome: VehicleOutcome) => void;
  /** Aborted where the work is to stop at the next vehicle: what is done is whole, the rest stays due. */
  readonly signal?: AbortSignal;
}

export interface AnalysisOutcome {
  /** Vehicles that were due and were gone through. */
  readonly vehicles: number;
  readonly rows: number;
  readonly stretches: number;
  readonly episodes: VehicleOutcome['episodes'];
}

/**
 * Analyses what is due. Killed anywhere and begun again it ends in the same state.
 *
 * @throws Failure where a stored policy cannot be read; StoreError where the database fails
 */
export async function analyseDirty(store: Engine, options: AnalysisOptions): Promise<AnalysisOutcome> {
  const fleet = await Fleet.read(store, options.zone);
  const { vehicles: asked, onVehicle, signal } = options;
  let vehicles = 0;
  let rows = 0;
  let stretches = 0;
  const episodes = { added: 0, changed: 0, withdrawn: 0, returned: 0, unchanged: 0 };
  for (const { vehicleId } of await dirtyVehicles(store)) {
    if (asked !== undefined && !asked.includes(vehicleId)) continue;
    if (signal?.aborted === true) break;
    const outcome = await analyseVehicle(store, vehicleId, fleet, options);
    vehicles += 1;
    rows += outcome.rows;
    stretches += outcome.stretches;
    for (const fate of Object.keys(episodes) as (keyof typeof episodes)[]) episodes[fate] += outcome.episodes[fate];
    onVehicle?.(outcome);
  }
  return { vehicles, rows, stretches, episodes };
}
