/** Which vehicles were heard in a span, and which of them had been heard shortly before and were not. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface HeardVehicle {
  readonly vehicleId: string;
  /** Whether a reading lies within the span. */
  readonly heard: boolean;
}

/**
 * Vehicles with a reading within [sinceMs, untilMs), by id, each with whether one lies within [fromMs, untilMs). Two look-ups by
 * the key of the readings a vehicle, however many readings there are.
 */
export function heardVehicles(
  statements: Statements,
  { sinceMs, fromMs, untilMs }: { readonly sinceMs: number; readonly fromMs: number; readonly untilMs: number },
): Promise<HeardVehicle[]> {
  return statements.query<HeardVehicle>(
    `select vehicle_id as "vehicleId",
      exists (select from reading r where r.vehicle_id = p.vehicle_id and r.time >= $2 and r.time < $3) as heard
    from vehicle_progress p
    where exists (select from reading r where r.vehicle_id = p.vehicle_id and r.time >= $1 and r.time < $3)
    order by vehicle_id`,
    [instant(sinceMs), instant(fromMs), instant(untilMs)],
  );
}
