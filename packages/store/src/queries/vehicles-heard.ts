/** Which vehicles were heard within a span, and which only before it. Looked up vehicle by vehicle, in the readings' own index. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface VehicleHeard {
  readonly vehicleId: string;
  /** Whether a reading lies in the span. */
  readonly heard: boolean;
  /** Whether one of them reports pressure or axle load. */
  readonly loadReported: boolean;
  /** The last reading before the end of the span, ms since the epoch. */
  readonly lastReadingMs: number;
}

export interface HeardSpan {
  /** Included, ms since the epoch. */
  readonly fromMs: number;
  /** Not included. */
  readonly untilMs: number;
  /** Vehicles that were last heard before this are left out. */
  readonly sinceMs: number;
}

/** By vehicle id. */
export function vehiclesHeard(
  statements: Statements,
  { fromMs, untilMs, sinceMs }: HeardSpan,
): Promise<VehicleHeard[]> {
  return statements.query<VehicleHeard>(
    `select p.vehicle_id as "vehicleId", l.time >= $1 as heard, l.time as "lastReadingMs",
      l.time >= $1 and exists (
        select from reading r
        where r.vehicle_id = p.vehicle_id and r.time >= $1 and r.time < $2
          and (r.suspension_kpa is not null or r.axle_load_kg is not null)
      ) as "loadReported"
    from vehicle_progress p
    cross join lateral (
      select r.time from reading r where r.vehicle_id = p.vehicle_id and r.time < $2 order by r.time desc limit 1
    ) l
    where p.first_reading_time < $2 and l.time >= $3
    order by p.vehicle_id`,
    [instant(fromMs), instant(untilMs), instant(sinceMs)],
  );
}
