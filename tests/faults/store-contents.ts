/**
 * Everything in a store that an undisturbed run and one that was killed must have in common: all rows of all tables, but for when
 * things were done. Long tables come as a count and a hash.
 */
import { createHash } from 'node:crypto';
import type { Engine } from '@gearhold/store';

const tables: Readonly<Record<string, string>> = {
  input_file: `select sha256, state, resume, rows_read, rows_accepted, rows_rejected, rows_new, rows_changed, counts, problem
    from input_file order by sha256`,
  reject: 'select sha256, position, line, reason, cut, md5(content) from reject order by sha256, position',
  reading: 'select * from reading order by vehicle_id, time',
  vehicle_progress: 'select * from vehicle_progress order by vehicle_id',
  vehicle: 'select * from vehicle order by vehicle_id, valid_from',
  site: 'select * from site order by site_id',
  stretch: 'select * from stretch order by vehicle_id, start_time',
  episode: `select episode_id, vehicle_id, kind, start_time, load_transfer_time, end_time, driver_id, site_id, terminal,
    driver_terminal, confidence, closed, document, policy_id, state, revision from episode order by episode_id`,
  check_result: 'select * from check_result order by episode_id, position',
  anomaly: 'select anomaly_id, episode_id, check_name, state, arrived_late from anomaly order by anomaly_id',
  episode_evidence:
    'select episode_id, encoding, from_time, until_time, rows, md5(content) from episode_evidence order by episode_id',
  episode_history: 'select episode_id, revision, document from episode_history order by episode_id, revision',
  change: 'select subject, subject_id, change, revision from change order by subject, subject_id, revision, change',
};

export interface TableContents {
  readonly rows: number;
  readonly hash: string;
}

export async function storeContents(engine: Engine): Promise<Record<string, TableContents>> {
  const contents: Record<string, TableContents> = {};
  for (const [table, sql] of Object.entries(tables)) {
    const rows = await engine.rows(sql);
    contents[table] = { rows: rows.length, hash: createHash('sha256').update(JSON.stringify(rows)).digest('hex') };
  }
  return contents;
}
