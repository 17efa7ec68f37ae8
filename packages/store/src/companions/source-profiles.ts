/** Source profiles by name: how somebody else's files are read. */
import type { Statements } from '../engine/engine.ts';
import { instant } from '../engine/values.ts';

export interface StoredProfile {
  readonly name: string;
  /** The profile file, JSON text. */
  readonly document: string;
  readonly changedMs: number;
}

const columns = 'name, document, changed_at as "changedMs"';

/** Profiles by name, from after one on. */
export function sourceProfiles(store: Statements, afterName: string | null, limit: number): Promise<StoredProfile[]> {
  return store.query<StoredProfile>(
    `select ${columns} from source_profile where $1::text is null or name > $1 order by name limit $2`,
    [afterName, limit],
  );
}

export async function sourceProfile(store: Statements, name: string): Promise<StoredProfile | null> {
  const rows = await store.query<StoredProfile>(`select ${columns} from source_profile where name = $1`, [name]);
  return rows[0] ?? null;
}

export async function keepSourceProfile(store: Statements, profile: StoredProfile): Promise<void> {
  await store.query(
    `insert into source_profile (name, document, changed_at) values ($1, $2, $3)
     on conflict (name) do update set document = excluded.document, changed_at = excluded.changed_at`,
    [profile.name, profile.document, instant(profile.changedMs)],
  );
}

export async function dropSourceProfile(store: Statements, name: string): Promise<boolean> {
  const rows = await store.query('delete from source_profile where name = $1 returning name', [name]);
  return rows.length > 0;
}
