/** Holds: what must be kept although retention would have it go. Several conditions in one hold narrow it. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface HoldScope {
  readonly vehicleId: string | null;
  readonly driverId: string | null;
  /** Included, ms since the epoch; -Infinity: from the beginning. */
  readonly fromMs: number;
  /** Not included; Infinity: without end. */
  readonly untilMs: number;
}

export interface Hold extends HoldScope {
  readonly holdId: number;
  readonly reason: string;
  readonly placedMs: number;
  /** Null while it holds. */
  readonly releasedMs: number | null;
}

const columns = `hold_id as "holdId", vehicle_id as "vehicleId", driver_id as "driverId", from_time as "fromMs",
  until_time as "untilMs", reason, placed_at as "placedMs", released_at as "releasedMs"`;

/** Places a hold; gives its number. */
export async function placeHold(
  statements: Statements,
  scope: HoldScope,
  reason: string,
  nowMs: number,
): Promise<number> {
  const [row] = await statements.query<{ holdId: number }>(
    `insert into hold (vehicle_id, driver_id, from_time, until_time, reason, placed_at)
    values ($1, $2, $3, $4, $5, $6) returning hold_id as "holdId"`,
    [scope.vehicleId, scope.driverId, instant(scope.fromMs), instant(scope.untilMs), reason, instant(nowMs)],
  );
  return row!.holdId;
}

/** Releases a hold; false where there is none of that number, or it was released before. */
export async function releaseHold(statements: Statements, holdId: number, nowMs: number): Promise<boolean> {
  const released = await statements.query(
    `update hold set released_at = greatest(placed_at, $2) where hold_id = $1 and released_at is null returning hold_id`,
    [holdId, instant(nowMs)],
  );
  return released.length > 0;
}

/** Holds that hold, by number. */
export function activeHolds(statements: Statements): Promise<Hold[]> {
  return statements.query<Hold>(`select ${columns} from hold where released_at is null order by hold_id`);
}

/** All holds there ever were, by number. */
export function allHolds(statements: Statements): Promise<Hold[]> {
  return statements.query<Hold>(`select ${columns} from hold order by hold_id`);
}
