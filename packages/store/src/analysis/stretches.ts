/** The stretches of a vehicle's life, with what was learned by the start of each. The state is the analysis's own JSON text. */
import type { Statements, Transaction } from '../engine/engine.ts';
import { instant, instantOrNull } from '../engine/values.ts';

export interface StoredStretch {
  /** ms since the epoch. */
  readonly startMs: number;
  /** Not included; null while it is open. */
  readonly endMs: number | null;
  /** Version of the analysis that wrote the state. */
  readonly engine: string;
  /** JSON text, byte for byte as it was given; null at the beginning of a life, where nothing was learned. */
  readonly state: string | null;
}

const columns = `start_time as "startMs", end_time as "endMs", engine, state`;

/** All stretches of a vehicle that end after an instant, in order; with their states. */
export function stretchesFrom(
  statements: Statements,
  vehicleId: string,
  fromMs = Number.NEGATIVE_INFINITY,
): Promise<StoredStretch[]> {
  return statements.query<StoredStretch>(
    `select ${columns} from stretch
    where vehicle_id = $1 and (end_time is null or end_time > $2) order by start_time`,
    [vehicleId, instant(fromMs)],
  );
}

/** The stretch of a vehicle that an instant lies in: the last one that begins at it or before. Null where none does. */
export async function stretchAt(
  statements: Statements,
  vehicleId: string,
  timeMs: number,
): Promise<StoredStretch | null> {
  const [stretch] = await statements.query<StoredStretch>(
    `select ${columns} from stretch where vehicle_id = $1 and start_time <= $2 order by start_time desc limit 1`,
    [vehicleId, instant(timeMs)],
  );
  return stretch ?? null;
}

/** The first stretch of a vehicle that begins after an instant; null where none does. */
export async function stretchAfter(
  statements: Statements,
  vehicleId: string,
  timeMs: number,
): Promise<StoredStretch | null> {
  const [stretch] = await statements.query<StoredStretch>(
    `select ${columns} from stretch where vehicle_id = $1 and start_time > $2 order by start_time limit 1`,
    [vehicleId, instant(timeMs)],
  );
  return stretch ?? null;
}

/** Puts stretches in place of all those that begin within [fromMs, untilMs). */
export async function replaceStretches(
  transaction: Transaction,
  vehicleId: string,
  span: { readonly fromMs: number; readonly untilMs: number },
  stretches: readonly StoredStretch[],
): Promise<void> {
  await transaction.query('delete from stretch where vehicle_id = $1 and start_time >= $2 and start_time < $3', [
    vehicleId,
    instant(span.fromMs),
    instant(span.untilMs),
  ]);
  for (const { startMs, endMs, engine, state } of stretches) {
    await transaction.query(
      'insert into stretch (vehicle_id, start_time, end_time, engine, state) values ($1, $2, $3, $4, $5)',
      [vehicleId, instant(startMs), instantOrNull(endMs), engine, state],
    );
  }
}
