/** What a night would do, said without doing it: `--dry-run`. Nothing is written, taken, sent or locked. */
import { dirtyVehicles, type Engine, inputFile } from '@gearhold/store';
import type { DayWindow } from '../day/window.ts';
import { contentOf } from '../intake/content.ts';
import { readInbox } from './inbox.ts';

export interface PlannedFile {
  readonly path: string;
  /** `new`; `resume`: begun by a run that was interrupted; `known`: taken before; `failed`: failed before. */
  readonly state: 'new' | 'resume' | 'known' | 'failed';
}

export interface NightPlan {
  readonly windows: readonly DayWindow[];
  readonly files: readonly PlannedFile[];
  readonly unsettled: readonly string[];
  readonly unknown: readonly string[];
  /** Vehicles that are due for analysis already, by id. */
  readonly due: readonly string[];
}

const states = { arriving: 'new', reading: 'resume', done: 'known', failed: 'failed' } as const;

/** @param engine null where there is no store yet */
export async function planNight(
  engine: Engine | null,
  options: { readonly windows: readonly DayWindow[]; readonly inbox: string | null; readonly files: readonly string[] },
  nowMs: number,
): Promise<NightPlan> {
  const inbox = options.inbox === null ? null : await readInbox(options.inbox, nowMs);
  const files: PlannedFile[] = [];
  for (const path of [...options.files, ...(inbox?.ready ?? [])]) {
    const { sha256 } = await contentOf(path);
    const file = engine === null ? null : await inputFile(engine, sha256);
    files.push({ path, state: file === null ? 'new' : states[file.state] });
  }
  const due = engine === null ? [] : (await dirtyVehicles(engine)).map(({ vehicleId }) => vehicleId);
  return { windows: options.windows, files, unsettled: inbox?.unsettled ?? [], unknown: inbox?.unknown ?? [], due };
}
