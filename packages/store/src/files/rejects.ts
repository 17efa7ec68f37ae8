/** Rejected rows, kept whole, by their place in the file: the same file read again rejects the same rows once. */
import type { Statements } from '../engine/engine.ts';

export interface StoredReject {
  /** Counts the rejects of the file from 0. */
  readonly position: number;
  /** Line the row begins at, from 1. */
  readonly line: number;
  readonly reason: string;
  readonly text: string;
  /** Whether `text` is only the beginning. */
  readonly cut: boolean;
}

/** Stores rejects of a file. Doing it twice is doing it once. */
export async function storeRejects(
  statements: Statements,
  sha256: string,
  rejects: readonly StoredReject[],
): Promise<void> {
  if (rejects.length === 0) return;
  await statements.query(
    `insert into reject (sha256, position, line, reason, content, cut)
    select $1, position, line, reason, decode(content, 'base64'), cut
    from unnest($2::bigint[], $3::bigint[], $4::text[], $5::text[], $6::boolean[])
      as given (position, line, reason, content, cut)
    on conflict (sha256, position) do nothing`,
    [
      sha256,
      rejects.map(({ position }) => position),
      rejects.map(({ line }) => line),
      rejects.map(({ reason }) => reason),
      // Base64, because the text may hold what a database's text must not.
      rejects.map(({ text }) => Buffer.from(text).toString('base64')),
      rejects.map(({ cut }) => cut),
    ],
  );
}

const pageRows = 1000;

/** The rejects of a file in their order. */
export async function* readRejects(statements: Statements, sha256: string): AsyncGenerator<StoredReject> {
  let after = -1;
  for (;;) {
    const rows = await statements.query<Omit<StoredReject, 'text'> & { content: Uint8Array }>(
      `select position, line, reason, content, cut from reject where sha256 = $1 and position > $2
      order by position limit ${pageRows}`,
      [sha256, after],
    );
    for (const { content, ...reject } of rows) yield { ...reject, text: Buffer.from(content).toString() };
    if (rows.length < pageRows) return;
    after = rows.at(-1)!.position;
  }
}

/** How many rows of a file were rejected, by reason. */
export async function rejectCounts(statements: Statements, sha256: string): Promise<Record<string, number>> {
  const rows = await statements.query<{ reason: string; count: number }>(
    'select reason, count(*) as count from reject where sha256 = $1 group by reason order by reason',
    [sha256],
  );
  return Object.fromEntries(rows.map(({ reason, count }) => [reason, count]));
}

/** Rejects of a file in their order, from after a place on. */
export async function rejectsPage(
  statements: Statements,
  sha256: string,
  afterPosition: number,
  limit: number,
): Promise<StoredReject[]> {
  const rows = await statements.query<Omit<StoredReject, 'text'> & { content: Uint8Array }>(
    `select position, line, reason, content, cut from reject where sha256 = $1 and position > $2
    order by position limit $3`,
    [sha256, afterPosition, limit],
  );
  return rows.map(({ content, ...reject }) => ({ ...reject, text: Buffer.from(content).toString() }));
}
