/** Settings that belong to the store itself, such as the key of the pseudonyms. Values are JSON text; none is ever logged. */
import type { Statements } from './engine/engine.ts';
import { instant } from './engine/values.ts';

export async function readSetting(statements: Statements, name: string): Promise<string | null> {
  const [row] = await statements.query<{ value: string }>('select value from setting where name = $1', [name]);
  return row?.value ?? null;
}

export async function writeSetting(statements: Statements, name: string, value: string, nowMs: number): Promise<void> {
  await statements.query(
    `insert into setting (name, value, changed_at) values ($1, $2, $3)
    on conflict (name) do update set value = excluded.value, changed_at = excluded.changed_at`,
    [name, value, instant(nowMs)],
  );
}

/** The setting as it stands, or `value` where none did: of several who ask at once, all get the same. */
export async function settingOr(statements: Statements, name: string, value: string, nowMs: number): Promise<string> {
  await statements.query(
    'insert into setting (name, value, changed_at) values ($1, $2, $3) on conflict (name) do nothing',
    [name, value, instant(nowMs)],
  );
  return (await readSetting(statements, name))!;
}
