/**
 * The tables as a text, the same from every engine: what stands in `packages/store/schema.txt`, and what a change to the
 * migrations is seen by. What an extension adds for itself is left out.
 */
import type { Statements } from '../engine/engine.ts';

interface ColumnRow {
  readonly table: string;
  readonly column: string;
  readonly type: string;
  readonly required: boolean;
  readonly collation: string | null;
  readonly standard: string | null;
  readonly identity: string;
}

interface NamedRow {
  readonly table: string;
  readonly name: string;
  readonly definition: string;
}

const tables = `from pg_class t join pg_namespace n on n.oid = t.relnamespace
  where n.nspname = current_schema() and t.relkind in ('r', 'p')`;

const columnsSql = `
  select t.relname as "table", a.attname as "column", format_type(a.atttypid, a.atttypmod) as type,
    a.attnotnull as required, pg_get_expr(d.adbin, d.adrelid) as standard, a.attidentity as identity,
    (select c.collname from pg_collation c where c.oid = a.attcollation and c.collname <> 'default') as collation
  from pg_attribute a join pg_class t on t.oid = a.attrelid
    left join pg_attrdef d on d.adrelid = a.attrelid and d.adnum = a.attnum
  where a.attnum > 0 and not a.attisdropped and t.oid in (select t.oid ${tables})
  order by t.relname, a.attnum`;

// From PostgreSQL 18 on NOT NULL is a constraint as well ('n'); it stands with the column.
const constraintsSql = `
  select t.relname as "table", c.conname as name, pg_get_constraintdef(c.oid) as definition
  from pg_constraint c join pg_class t on t.oid = c.conrelid
  where c.contype in ('p', 'u', 'f', 'c', 'x') and t.oid in (select t.oid ${tables})
  order by t.relname, c.conname`;

const indexesSql = `
  select t.relname as "table", i.relname as name, pg_get_indexdef(i.oid) as definition
  from pg_index x join pg_class i on i.oid = x.indexrelid join pg_class t on t.oid = x.indrelid
  where not exists (select from pg_constraint c where c.conindid = i.oid and c.contype in ('p', 'u', 'x'))
    and t.oid in (select t.oid ${tables})
  order by t.relname, i.relname`;

/** Tables, columns, constraints and indexes, each in a fixed order and form. */
export async function schemaText(statements: Statements): Promise<string> {
  const columns = Map.groupBy(await statements.query<ColumnRow>(columnsSql), ({ table }) => table);
  const constraints = Map.groupBy(await statements.query<NamedRow>(constraintsSql), ({ table }) => table);
  const indexes = Map.groupBy(await statements.query<NamedRow>(indexesSql), ({ table }) => table);
  const lines: string[] = [];
  for (const [table, its] of columns) {
    lines.push(`table ${table}`);
    for (const column of its) lines.push(`  ${columnText(column)}`);
    for (const { name, definition } of constraints.get(table) ?? []) lines.push(`  constraint ${name}: ${definition}`);
    for (const { definition } of indexes.get(table) ?? []) lines.push(`  ${definition.replaceAll(' public.', ' ')}`);
    lines.push('');
  }
  return lines.join('\n');
}

function columnText({ column, type, required, collation, standard, identity }: ColumnRow): string {
  const parts = [column, type];
  if (collation !== null) parts.push(`collate ${collation}`);
  if (required) parts.push('not null');
  if (identity === 'a') parts.push('generated always as identity');
  if (standard !== null) parts.push(`default ${standard}`);
  return parts.join(' ');
}
