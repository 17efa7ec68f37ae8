/**
 * Readings for the bench: any number of rows of a fleet at 1 Hz, seven columns, written as one CSV file. Trucks drive,
 * stop, back under a trailer, couple, drive and leave it again, each a little apart from the others, so that tracker and
 * checks have their usual work: an episode in about 1,100 rows, 18 minutes of a truck, as in drop-and-hook work and several
 * times what a line-haul truck makes. What was measured with it is speed and memory, never accuracy. The same rows for the
 * same number, everywhere.
 */
import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import { finished } from 'node:stream/promises';

export const columns = [
  'time',
  'vehicleId',
  'speedKph',
  'acceleratorPct',
  'gear',
  'parkingBrake',
  'suspensionKpa',
] as const;

interface Step {
  readonly seconds: number;
  readonly speedKph: number;
  readonly acceleratorPct: number;
  readonly gear: number;
  readonly parkingBrake: 0 | 1;
  /** Pressure at the end of the step, kPa: it moves there in `rise` seconds. */
  readonly kpa: 'bobtail' | 'trailer';
  readonly rise: number;
}

const drive = (seconds: number, kpa: Step['kpa']): Step => {
  return { seconds, speedKph: 74, acceleratorPct: 38, gear: 10, parkingBrake: 0, kpa, rise: 1 };
};
const stand = (seconds: number, parkingBrake: 0 | 1, kpa: Step['kpa'], rise = 1): Step => {
  return { seconds, speedKph: 0, acceleratorPct: 0, gear: 0, parkingBrake, kpa, rise };
};

/** One round of a truck: couples, travels, uncouples, travels. */
const round: readonly Step[] = [
  drive(500, 'bobtail'),
  stand(25, 1, 'bobtail'),
  { seconds: 18, speedKph: 2.5, acceleratorPct: 0, gear: -1, parkingBrake: 0, kpa: 'bobtail', rise: 1 },
  { seconds: 5, speedKph: 1.8, acceleratorPct: 0, gear: -1, parkingBrake: 0, kpa: 'trailer', rise: 6 },
  stand(320, 1, 'trailer', 6),
  { seconds: 12, speedKph: 6, acceleratorPct: 12, gear: 1, parkingBrake: 0, kpa: 'trailer', rise: 1 },
  drive(900, 'trailer'),
  stand(150, 1, 'trailer'),
  { seconds: 2, speedKph: 1.6, acceleratorPct: 8, gear: 1, parkingBrake: 0, kpa: 'bobtail', rise: 4 },
  stand(34, 1, 'bobtail', 2),
  { seconds: 15, speedKph: 7, acceleratorPct: 15, gear: 1, parkingBrake: 0, kpa: 'bobtail', rise: 1 },
  drive(300, 'bobtail'),
];
const roundSeconds = round.reduce((sum, step) => sum + step.seconds, 0);

interface Truck {
  readonly id: string;
  readonly offset: number;
  readonly bobtail: number;
  readonly trailer: number;
  kpa: number;
}

/** Writes the file and gives its rows: every truck's row of a second, then the next second. */
export async function writeReadings(path: string, rows: number, trucks = 500): Promise<void> {
  const random = generator(20260302);
  const fleet: Truck[] = Array.from({ length: trucks }, (_, index) => {
    const bobtail = 45 + 30 * random();
    const trailer = bobtail + 80 + 280 * random();
    return { id: `B-${1000 + index}`, offset: Math.floor(random() * roundSeconds), bobtail, trailer, kpa: bobtail };
  });
  const out = createWriteStream(path, { highWaterMark: 1 << 20 });
  const start = Date.parse('2026-03-02T05:00:00Z');
  let text = `${columns.join(',')}\n`;
  for (let row = 0; row < rows; row++) {
    const second = Math.floor(row / trucks);
    text += line(fleet[row % trucks]!, start, second, random);
    if (text.length < 1 << 18) continue;
    if (!out.write(text)) await once(out, 'drain');
    text = '';
  }
  out.end(text);
  await finished(out);
}

function line(truck: Truck, start: number, second: number, random: () => number): string {
  let within = (second + truck.offset) % roundSeconds;
  let step = round[0]!;
  for (step of round) {
    if (within < step.seconds) break;
    within -= step.seconds;
  }
  truck.kpa += (truck[step.kpa] - truck.kpa) / step.rise;
  const kpa = Math.max(0, truck.kpa + 3 * (random() + random() + random() - 1.5));
  const speed = step.speedKph === 0 ? 0 : step.speedKph * (0.9 + 0.2 * random());
  const time = new Date(start + second * 1000).toISOString();
  const pedal = step.acceleratorPct === 0 ? 0 : step.acceleratorPct + 4 * random();
  return `${time},${truck.id},${speed.toFixed(2)},${pedal.toFixed(1)},${step.gear},${step.parkingBrake},${kpa.toFixed(1)}\n`;
}

/** Mulberry32: small, seeded, good enough for noise. */
function generator(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
