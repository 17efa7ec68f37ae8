import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { BatchBuilder, type ReadingBatch } from '@gearhold/signals';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Episode } from './index.ts';
import { episodeStream } from './stream.ts';
import { couple, Drive, road, uncouple } from './testing/drive.ts';

const rows = road(uncouple(road(couple(road(new Drive(), 60), 60, 160), 160), 160, 60, 20), 60).rows;

async function run(capacity: number): Promise<Episode[]> {
  const batches: ReadingBatch[] = [];
  const builder = new BatchBuilder(0, capacity);
  for (const row of rows) {
    builder.begin();
    builder.values.set(row.values, builder.offset);
    builder.add('T-1', row.driverId, row.timeMs);
    if (builder.full) batches.push(builder.take());
  }
  if (builder.length > 0) batches.push(builder.take());
  const found: Episode[] = [];
  await pipeline(Readable.from(batches), episodeStream(), async (episodes: AsyncIterable<Episode>) => {
    for await (const episode of episodes) found.push(episode);
  });
  return found;
}

describe('the episode stream', () => {
  it('says the same however the rows are cut into batches', async () => {
    const whole = (await run(4096)).map((e) => [e.kind, e.milestones, e.confidence]);
    expect(whole.map(([kind]) => kind)).toEqual(['coupling', 'uncoupling']);
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 1, max: 300 }), async (capacity) => {
        expect((await run(capacity)).map((e) => [e.kind, e.milestones, e.confidence])).toEqual(whole);
      }),
      { numRuns: 8 },
    );
  });
});
