/**
 * The latest day whose digest went out, with its window as it was computed then. What is found later of it, or of a day before it,
 * arrived late. The version of the zone data stands beside it, so that a day that another version cuts otherwise can be told.
 */
import { type Engine, readSetting, type Statements, writeSetting } from '@gearhold/store';
import type { DayWindow } from '../day/window.ts';

const name = 'lastDay';

/** The end of the latest day that was told of, ms since the epoch; -Infinity where none was. */
export async function toldUntilMs(engine: Engine): Promise<number> {
  return (await lastDay(engine))?.endMs ?? Number.NEGATIVE_INFINITY;
}

/** Notes that a day was told of; an earlier one than the latest changes nothing. */
export async function noteToldOf(engine: Engine, window: DayWindow, nowMs: number): Promise<void> {
  await engine.transaction(
    async (transaction) => {
      const last = await lastDay(transaction);
      if (last !== null && last.endMs >= window.endMs) return;
      await writeSetting(transaction, name, JSON.stringify(window), nowMs);
    },
    { repeatable: true },
  );
}

async function lastDay(statements: Statements): Promise<DayWindow | null> {
  const text = await readSetting(statements, name);
  return text === null ? null : (JSON.parse(text) as DayWindow);
}
