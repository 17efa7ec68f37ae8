/**
 * Keeps one truck's rows and asks the enumerator what those around an episode prove. The enumerator stands apart from the
 * checks: what it proves and a check calls undetermined was left on the table.
 */
import type { TrueEpisode, TrueVehicle } from '@gearhold/fixtures';
import { signalCount } from '@gearhold/signals';
import { type Bounds, enumerate, type Ground, type Known, type Row, rowOf } from '../../enumerator/src/index.ts';

export interface RowFacts {
  /** Provable outcome by check; empty where the enumerator was not asked. */
  readonly provable: Readonly<Record<string, Bounds['outcome']>>;
  /** The silence of 15 s or more in which the load came or went, or null. */
  readonly silence: { readonly startMs: number; readonly endMs: number } | null;
}

/** What the companion files say. */
export interface Stated {
  readonly sites: readonly Ground[];
  readonly levels: { readonly bobtailKpa: number; readonly loadedKpa: number } | null;
}

const silentMs = 15_000;

/** Steps in which a pedal position is sent, %. */
const pedalStepPct = 0.4;

/**
 * What is true of the sensors. A fleet could state it, and what is proven with it is no guess; the analysis has to learn
 * it from the rows, so that some of what is provable here is out of its reach on a truck's first episodes.
 */
function sensorsOf(vehicle: TrueVehicle): Pick<Known, SensorFact> {
  const perKpa = vehicle.kgPerKpa ?? 1;
  return {
    blindSpeedKph: vehicle.blindSpeedKph,
    releasedPedalPct: Math.round(vehicle.pedalRestPct / pedalStepPct) * pedalStepPct,
    loadNoise: vehicle.noiseKpa * perKpa,
    loadStep: Math.max(vehicle.stepKpa * perKpa, vehicle.kgPerKpa === null ? 0 : 1),
    silentBelow: vehicle.silentBelow,
  };
}

type SensorFact = 'blindSpeedKph' | 'releasedPedalPct' | 'loadNoise' | 'loadStep' | 'silentBelow';

const beforeMs = 330_000;
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

  /** What the rows say of an episode; call after the truck's last row. */
  facts(episode: TrueEpisode, vehicle: TrueVehicle, stated: Stated, proving: boolean): RowFacts {
    return {
      provable: proving ? this.#prove(episode, vehicle, stated) : {},
      silence: this.#silence(episode.loadTransferTime),
    };
  }

  #silence(timeMs: number): RowFacts['silence'] {
    let startMs = Number.NEGATIVE_INFINITY;
    let endMs = Number.POSITIVE_INFINITY;
    for (const at of this.#timesMs) {
      if (at <= timeMs) startMs = Math.max(startMs, at);
      else endMs = Math.min(endMs, at);
    }
    return endMs - startMs >= silentMs ? { startMs, endMs } : null;
  }

  #prove(episode: TrueEpisode, vehicle: TrueVehicle, { sites, levels }: Stated): RowFacts['provable'] {
    const bounds = enumerate(this.#around(episode), episode, undefined, {
      ...sensorsOf(vehicle),
      mode: vehicle.changeOnly ? 'change-only' : 'periodic',
      springSuspension: vehicle.kind === 'spring',
      liftsTrailer: vehicle.kind === 'yard',
      liftAxle: vehicle.kind === 'lift-axle',
      sites,
      ...(levels === null ? {} : { bobtail: levels.bobtailKpa, full: levels.loadedKpa }),
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
