/**
 * Keeps one truck's rows and asks the enumerator what those around an episode prove. The enumerator stands apart from the
 * checks: what it proves and a check calls undetermined was left on the table.
 */
import type { TrueEpisode, TrueVehicle } from '@gearhold/fixtures';
import { signalCount } from '@gearhold/signals';
import { type Bounds, enumerate, type Row, rowOf } from '../../enumerator/src/index.ts';

export type Provable = Bounds['outcome'];

const beforeMs = 150_000;
const afterMs = 200_000;

export class EpisodeRows {
  #timesMs: number[] = [];
  #values = new Float64Array(signalCount << 10);
  #length = 0;

  add(timeMs: number, values: Float64Array): void {
    if ((this.#length + 1) * signalCount > this.#values.length) {
      const wider = new Float64Array(this.#values.length * 2);
      wider.set(this.#values);
      this.#values = wider;
    }
    this.#timesMs.push(timeMs);
    this.#values.set(values, this.#length * signalCount);
    this.#length += 1;
  }

  prove(episode: TrueEpisode, vehicle: TrueVehicle): Record<string, Provable> {
    if (episode.kind !== 'coupling' && episode.kind !== 'uncoupling') return {};
    const bounds = enumerate(this.#around(episode), episode, undefined, {
      blindSpeedKph: null,
      releasedPedalPct: null,
      mode: vehicle.changeOnly ? 'change-only' : 'periodic',
      springSuspension: vehicle.kind === 'spring',
      liftsTrailer: vehicle.kind === 'yard',
      liftAxle: vehicle.kind === 'lift-axle',
    });
    return Object.fromEntries(Object.entries(bounds).map(([check, b]) => [check, b.outcome]));
  }

  /** Rows around an episode in time order, once each: networks may have brought them late or twice. */
  #around(episode: TrueEpisode): Row[] {
    const from = episode.startTime - beforeMs;
    const to = episode.endTime + afterMs;
    const rows: Row[] = [];
    for (let i = 0; i < this.#length; i++) {
      const timeMs = this.#timesMs[i]!;
      if (timeMs >= from && timeMs <= to) rows.push(rowOf(timeMs, this.#values, i * signalCount));
    }
    rows.sort((a, b) => a.timeMs - b.timeMs);
    return rows.filter((row, i) => i === 0 || row.timeMs > rows[i - 1]!.timeMs);
  }
}
