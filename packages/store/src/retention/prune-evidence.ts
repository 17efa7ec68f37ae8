/** Removes evidence and rejected rows that retention has had its time with, but for what a hold keeps. Episodes stay. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

/** Removes the evidence of episodes whose load transfer lies before an instant; gives how many had some. */
export async function pruneEvidence(statements: Statements, beforeMs: number): Promise<number> {
  const [gone] = await statements.query<{ rows: number }>(
    `with gone as (
      delete from episode_evidence v using episode e
      where e.episode_id = v.episode_id and e.load_transfer_time < $1 and not exists (
        select from hold h where h.released_at is null
          and (h.vehicle_id is null or h.vehicle_id = e.vehicle_id)
          and (h.driver_id is null or h.driver_id = e.driver_id)
          and h.from_time <= e.end_time and h.until_time > e.start_time)
      returning 1
    )
    select count(*) as rows from gone`,
    [instant(beforeMs)],
  );
  return gone!.rows;
}

/** Removes the rejected rows of files that were done before an instant; whose they are cannot be told, so any hold keeps all. */
export async function pruneRejects(statements: Statements, beforeMs: number): Promise<number> {
  const [gone] = await statements.query<{ rows: number }>(
    `with gone as (
      delete from reject r using input_file f
      where f.sha256 = r.sha256 and f.state = 'done' and f.state_since < $1
        and not exists (select from hold where released_at is null)
      returning 1
    )
    select count(*) as rows from gone`,
    [instant(beforeMs)],
  );
  return gone!.rows;
}
