/** Collects, while an analysis runs, what the records of a work file are matched against. */

import { count, namesOf } from '@gearhold/look';
import type { Companions } from '@gearhold/operations/inputs';
import type { WireEpisode } from '@gearhold/policy';
import type { Engine } from '../engine.ts';
import { levelsEngine } from '../levels/levels-engine.ts';
import { type Covered, matchable, matchWork, type WorkMatched } from './match.ts';
import { readWork, type WorkFile } from './work-file.ts';

export class WorkWatch {
  readonly #file: WorkFile;
  readonly #windowMinutes: number;
  readonly #episodes: NonNullable<ReturnType<typeof matchable>>[] = [];
  readonly #trucks = new Map<string, Covered>();

  /** @throws Failure of status 2 */
  static async open(path: string, windowMinutes: number): Promise<WorkWatch> {
    return new WorkWatch(await readWork(path), windowMinutes);
  }

  private constructor(file: WorkFile, windowMinutes: number) {
    this.#file = file;
    this.#windowMinutes = windowMinutes;
  }

  /** The engine to run with. */
  engine(companions: Companions): Engine {
    return levelsEngine(companions, ({ vehicleId, firstTime, lastTime, loadSignal, signals }) => {
      this.#trucks.set(vehicleId, { firstTime, lastTime, loadSignal, signals });
    });
  }

  add(episode: WireEpisode): void {
    const seen = matchable(episode);
    if (seen !== null) this.#episodes.push(seen);
  }

  matched(): WorkMatched {
    return matchWork(this.#file.records, this.#episodes, this.#trucks, this.#windowMinutes);
  }

  /** Lines for the closing summary: what the file held. */
  summary(): string[] {
    const { records, repeated, notRead } = this.#file;
    const more = [
      ...(repeated > 0 ? [`${count(repeated, 'record')} repeated another exactly, counted once`] : []),
      ...(notRead.size > 0 ? [`not read: ${namesOf(notRead)}`] : []),
    ];
    return [`work file         ${[count(records.length, 'record'), ...more].join('; ')}`];
  }
}
