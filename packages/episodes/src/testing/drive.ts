/**
 * A truck's rows, written as a script for tests: each line a stretch of equal rows, one a second.
 */
import { type SignalName, signalCount, signalIndex } from '@gearhold/signals';

export interface Row {
  readonly timeMs: number;
  readonly driverId: string | null;
  readonly values: Float64Array;
}

export class Drive {
  readonly rows: Row[] = [];
  #timeMs: number;
  readonly #stepMs: number;

  constructor(startMs = Date.UTC(2026, 2, 2, 6), stepMs = 1000) {
    this.#timeMs = startMs;
    this.#stepMs = stepMs;
  }

  get timeMs(): number {
    return this.#timeMs;
  }

  /** Adds rows for `seconds`; a function of the share of the stretch gone (0 to 1) varies a signal within it. */
  for(seconds: number, signals: Partial<Record<SignalName, number | ((share: number) => number)>>): this {
    const count = Math.round((seconds * 1000) / this.#stepMs);
    for (let i = 0; i < count; i++) {
      const values = new Float64Array(signalCount).fill(Number.NaN);
      for (const [name, value] of Object.entries(signals)) {
        values[signalIndex[name as SignalName]] = typeof value === 'function' ? value(i / count) : value;
      }
      this.rows.push({ timeMs: this.#timeMs, driverId: 'D-1', values });
      this.#timeMs += this.#stepMs;
    }
    return this;
  }

  /** No rows for `seconds`. */
  silence(seconds: number): this {
    this.#timeMs += seconds * 1000;
    return this;
  }
}

const standing = {
  speedKph: 0,
  gear: 0,
  parkingBrake: 1,
  serviceBrake: 0,
  acceleratorPct: 0,
  torquePct: 4,
  engineRpm: 600,
};
/** Signals of a truck on the move, but for speed, gear and load. */
export const rolling = { parkingBrake: 0, serviceBrake: 0, acceleratorPct: 0, torquePct: 15, engineRpm: 900 };

/** On the road at a level. */
export function road(drive: Drive, kpa: number, seconds = 120): Drive {
  return drive.for(seconds, { ...rolling, speedKph: 60, gear: 8, suspensionKpa: kpa });
}

export function stand(drive: Drive, kpa: number | ((share: number) => number), seconds: number): Drive {
  return drive.for(seconds, { ...standing, suspensionKpa: kpa });
}

/** Backs under a trailer: the load comes on in the last two seconds and settles at standstill. */
export function couple(drive: Drive, bobtail: number, coupled: number): Drive {
  stand(drive, bobtail, 20);
  drive.for(12, {
    ...rolling,
    speedKph: 3,
    gear: -1,
    suspensionKpa: (s) => bobtail + (s > 0.8 ? (coupled - bobtail) * 0.3 * (s - 0.8) * 5 : 0),
  });
  const at = bobtail + 0.3 * (coupled - bobtail);
  stand(drive, (s) => coupled - (coupled - at) * Math.exp(-8 * s), 60);
  drive.for(4, { ...rolling, speedKph: 0, gear: 1, torquePct: 30, suspensionKpa: coupled });
  stand(drive, coupled, 240);
  return drive.for(30, { ...rolling, speedKph: 8, gear: 2, suspensionKpa: coupled });
}

/** Leaves a trailer without a dump, with a pause under its nose. */
export function uncouple(drive: Drive, coupled: number, bobtail: number, pauseSeconds: number): Drive {
  stand(drive, coupled, 120);
  drive.for(4, {
    ...rolling,
    speedKph: 2,
    gear: 1,
    suspensionKpa: (s) => coupled - (coupled - bobtail) * 0.8 * Math.max(0, s - 0.3),
  });
  if (pauseSeconds > 0) stand(drive, (s) => bobtail + 0.4 * (coupled - bobtail) * Math.exp(-12 * s), pauseSeconds);
  return drive.for(40, { ...rolling, speedKph: 6, gear: 1, suspensionKpa: bobtail });
}

/** Leaves a trailer after emptying the springs at standstill. */
export function dumpAndLeave(drive: Drive, coupled: number, bobtail: number, pauseSeconds: number): Drive {
  stand(drive, coupled, 120);
  stand(drive, (s) => coupled * Math.exp(-6 * s), 10);
  stand(drive, 0, pauseSeconds);
  drive.for(10, { ...rolling, speedKph: 3, gear: 1, suspensionKpa: 0 });
  stand(drive, (s) => bobtail * (1 - Math.exp(-8 * s)), 30);
  return drive.for(40, { ...rolling, speedKph: 6, gear: 1, suspensionKpa: bobtail });
}
