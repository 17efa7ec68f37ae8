/**
 * The inbox: a folder that somebody else fills. A file is taken only at rest, once it was last written at least a minute ago, since one
 * that is still being copied would be taken in half. Nothing in it is moved or deleted: what was taken already is known by content.
 * Names that begin with a dot, and those of copies in progress (`.part`, `.tmp`), are left alone.
 */
import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { exitStatus, Failure, fileReason } from '@gearhold/shared';
import { formatOfName } from '@gearhold/signals';

/** How long a file has to be left alone before it is taken, ms. */
const restMs = 60_000;

export interface Inbox {
  /** Paths at rest that hold readings by their name, the earliest written first, which is the order in which corrections win. */
  readonly ready: readonly string[];
  /** Written to within the last minute, or dated ahead of the clock. */
  readonly unsettled: readonly string[];
  /** Their name promises no format that is known. */
  readonly unknown: readonly string[];
}

/** @throws Failure of status 1 where the folder cannot be read */
export async function readInbox(folder: string, nowMs: number): Promise<Inbox> {
  const ready: { path: string; mtimeMs: number }[] = [];
  const unsettled: string[] = [];
  const unknown: string[] = [];
  for (const path of await filesIn(folder)) {
    if (formatOfName(path).format === null) {
      unknown.push(path);
      continue;
    }
    const found = await stat(path).catch(() => null);
    // Gone since the folder was listed: somebody moved it.
    if (found === null) continue;
    if (nowMs - found.mtimeMs >= restMs) ready.push({ path, mtimeMs: found.mtimeMs });
    else unsettled.push(path);
  }
  ready.sort((a, b) => a.mtimeMs - b.mtimeMs || (a.path < b.path ? -1 : 1));
  return { ready: ready.map(({ path }) => path), unsettled: unsettled.sort(), unknown: unknown.sort() };
}

async function filesIn(folder: string): Promise<string[]> {
  const paths: string[] = [];
  let entries: Awaited<ReturnType<typeof entriesOf>>;
  try {
    entries = await entriesOf(folder);
  } catch (error) {
    throw new Failure(exitStatus.fault, `the inbox ${folder} cannot be read: ${fileReason(error)}.`);
  }
  for (const entry of entries) {
    if (entry.name.startsWith('.') || /\.(part|tmp)$/i.test(entry.name)) continue;
    const path = join(folder, entry.name);
    const kind = entry.isSymbolicLink() ? await stat(path).catch(() => null) : entry;
    if (kind?.isFile()) paths.push(path);
    // A link to a folder is not followed: it may lead in a circle.
    else if (entry.isDirectory()) paths.push(...(await filesIn(path)));
  }
  return paths;
}

function entriesOf(folder: string) {
  return readdir(folder, { withFileTypes: true });
}
