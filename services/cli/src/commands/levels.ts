/** `gearhold levels`: what was learned of each truck, as a page to read or one JSON object a truck. */

import type { Units } from '@gearhold/look';
import type { TruckLevels } from '@gearhold/schemas';
import type { ExitStatus } from '@gearhold/shared';
import { type Io, Job, type JobOptions } from '../job.ts';
import { levelsEngine } from '../levels/levels-engine.ts';
import { levelsPage } from '../levels/page.ts';
import { frameFor } from '../report/frame.ts';
import { writeText } from '../text-output.ts';

export interface LevelsOptions extends JobOptions {
  readonly ndjson: boolean;
  readonly units: Units;
  readonly ascii: boolean;
}

export async function levelsCommand(files: readonly string[], options: LevelsOptions, io: Io): Promise<ExitStatus> {
  const began = performance.now();
  const job = await Job.prepare(files, options, io, null);
  try {
    const trucks: TruckLevels[] = [];
    const engine = levelsEngine(job.companions, (truck) => trucks.push(truck));
    const analysis = await job.run(() => {}, { engine });
    trucks.sort((a, b) => (a.vehicleId < b.vehicleId ? -1 : 1));
    const seconds = (performance.now() - began) / 1000;
    const lines = options.ndjson
      ? trucks.map((truck) => JSON.stringify(truck))
      : levelsPage(trucks, {
          ...frameFor(io.stdout, options.ascii, files),
          units: options.units,
          stated: [...new Set(job.companions.vehicles.map(({ vehicleId }) => vehicleId))],
        });
    await writeText(
      io.stdout,
      lines.map((line) => `${line}\n`),
    );
    return job.close(analysis, seconds);
  } finally {
    job.abandon();
  }
}
