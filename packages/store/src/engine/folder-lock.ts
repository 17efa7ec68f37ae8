/**
 * Which process has the folder of the embedded database open: `in-use.json` in it, with the machine's name, the process id
 * and when that process began. One that died without a word leaves its file; the next one takes it over. A process id that
 * was given to another process since is told apart by the beginning, where the machine says it (Linux).
 */
import { randomUUID } from 'node:crypto';
import { link, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { StoreError } from '../errors.ts';

interface Holder {
  readonly host: string;
  readonly pid: number;
  /** Clock ticks since the machine started, as the machine says it; null where it does not. */
  readonly began: string | null;
  /** Tells two holds of one process apart. */
  readonly hold: string;
}

export interface TakenFolder {
  release(): Promise<void>;
}

/** How often a stale file is taken over before the folder counts as contended. */
const takeoversMax = 5;

/** Takes the folder for this process. @throws StoreError `in-use` where another process, or this one, has it. */
export async function takeFolder(folder: string): Promise<TakenFolder> {
  const path = join(folder, 'in-use.json');
  const mine: Holder = { host: hostname(), pid: process.pid, began: await beganOf(process.pid), hold: randomUUID() };
  for (let attempt = 0; attempt < takeoversMax; attempt++) {
    if (await place(folder, path, mine)) return { release: () => giveBack(path, mine) };
    const holder = await holderOf(path);
    if (holder === 'gone') continue;
    if (holder !== 'unreadable' && (await isAlive(holder))) throw inUse(folder, holder);
    await setAside(folder, path, holder);
  }
  throw inUse(folder, null);
}

/** Puts the file in its place whole, or not at all; false where one stands there. */
async function place(folder: string, path: string, mine: Holder): Promise<boolean> {
  const written = join(folder, `in-use.${mine.hold}`);
  await writeFile(written, `${JSON.stringify(mine)}\n`, { flag: 'wx' });
  try {
    await link(written, path);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  } finally {
    await rm(written, { force: true });
  }
}

/** Moves a dead holder's file away; puts it back where another process was quicker and it is that one's by now. */
async function setAside(folder: string, path: string, dead: Holder | 'unreadable'): Promise<void> {
  const aside = join(folder, `in-use.${randomUUID()}`);
  try {
    await rename(path, aside);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return;
    throw error;
  }
  const moved = await holderOf(aside);
  const same = typeof moved === 'string' ? moved === dead : typeof dead !== 'string' && moved.hold === dead.hold;
  if (!same) await link(aside, path).catch(() => {});
  await rm(aside, { force: true });
}

async function giveBack(path: string, mine: Holder): Promise<void> {
  const holder = await holderOf(path);
  if (typeof holder !== 'string' && holder.hold === mine.hold) await rm(path, { force: true });
}

async function holderOf(path: string): Promise<Holder | 'gone' | 'unreadable'> {
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return 'gone';
    throw error;
  }
  try {
    const holder = JSON.parse(text) as Partial<Holder>;
    if (typeof holder.host === 'string' && typeof holder.pid === 'number' && typeof holder.hold === 'string') {
      return { host: holder.host, pid: holder.pid, began: holder.began ?? null, hold: holder.hold };
    }
  } catch {
    // Not JSON: a file that a full disk cut off.
  }
  return 'unreadable';
}

/** Whether the holder still runs; one on another machine cannot be asked, and counts as alive. */
async function isAlive(holder: Holder): Promise<boolean> {
  if (holder.host !== hostname()) return true;
  try {
    process.kill(holder.pid, 0);
  } catch (error) {
    // EPERM: it runs, as somebody else.
    if ((error as NodeJS.ErrnoException).code === 'ESRCH') return false;
  }
  const began = await beganOf(holder.pid);
  return began === null || holder.began === null || began === holder.began;
}

/** When a process began, by /proc; field 22 of stat, counted behind the name in parentheses. */
async function beganOf(pid: number): Promise<string | null> {
  try {
    const stat = await readFile(`/proc/${pid}/stat`, 'utf8');
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? null;
  } catch {
    return null;
  }
}

function inUse(folder: string, holder: Holder | null): StoreError {
  const who = holder === null ? 'other processes' : `process ${holder.pid} on ${holder.host}`;
  const elsewhere =
    holder !== null && holder.host !== hostname()
      ? `; if nothing runs there any more, remove ${join(folder, 'in-use.json')}`
      : '';
  return new StoreError(
    'in-use',
    `the store in ${folder} is open in ${who}, and the embedded database serves one process at a time: ` +
      `wait until that one is done, or set DATABASE_URL to a PostgreSQL server that all of them can use${elsewhere}`,
  );
}
