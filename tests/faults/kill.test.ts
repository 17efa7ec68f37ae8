/**
 * A night is killed, again and again, and started again; when it has come to its end everything in the store is as if it had never been
 * disturbed. It dies by its own hand at a random moment around a statement, or by another's after a random time. A few kills in the
 * usual run; `FAULTS_KILLS=200 npx vitest run tests/faults` is the whole of it. Where DATABASE_URL names a server the store is there,
 * else it is embedded. A failure names the seed, which FAULTS_SEED gives again.
 */
import type { ChildProcess } from 'node:child_process';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { Random } from '../../fixtures/src/random.ts';
import { testFolder } from '../cli/folder.ts';
import { fillInbox } from './inbox.ts';
import type { NightReport } from './night-process.ts';
import { runNight } from './run-night.ts';
import { type StorePlace, type StorePlaces, storePlaces } from './store-places.ts';

const kills = Number(process.env.FAULTS_KILLS ?? 6);
const seed = process.env.FAULTS_SEED ?? 'kill';
const longestMs = 240_000;

const folder = testFolder();
const inbox = folder.at('inbox');
let places: StorePlaces;
let whole: NightReport & { readonly tookMs: number };

beforeAll(async () => {
  fillInbox(inbox);
  places = await storePlaces(folder.path);
  const place = await places.fresh();
  const began = performance.now();
  const report = await night(place, 0, null);
  if (report === 'killed') throw new Error('the undisturbed night was killed');
  whole = { ...report, tookMs: performance.now() - began };
  await place.remove();
}, longestMs);

afterAll(() => places?.close());

/** Runs the night until it ends or is killed: at its so-many-th moment (0: never), or after a time (null: never), ms. */
async function night(place: StorePlace, dieAt: number, afterMs: number | null): Promise<NightReport | 'killed'> {
  let timer: NodeJS.Timeout | undefined;
  const watch = (child: ChildProcess) => {
    if (afterMs !== null) timer = setTimeout(() => child.kill('SIGKILL'), afterMs);
  };
  const report = await runNight(place, { inbox, dieAt, watch });
  clearTimeout(timer);
  return report;
}

test('undisturbed, the night takes what there is and finds what is in it', () => {
  const { input_file, reject, reading, episode, anomaly } = whole.contents;
  expect(input_file!.rows).toBe(3);
  expect(reject!.rows).toBeGreaterThanOrEqual(150);
  expect([reading!.rows, episode!.rows, anomaly!.rows].every((rows) => rows > 0)).toBe(true);
  expect(whole.moments).toBeGreaterThan(100);
});

test(
  `killed ${kills} times and started again, everything is as if it had not been`,
  async () => {
    const random = new Random(seed, 'faults');
    let place = await places.fresh();
    let killed = 0;
    for (let run = 0; killed < kills; run++) {
      const byItself = random.next() < 0.7;
      const dieAt = byItself ? 1 + Math.floor(random.next() * whole.moments) : 0;
      const report = await night(place, dieAt, byItself ? null : random.next() * whole.tookMs);
      if (report === 'killed') killed += 1;
      else {
        expect(report.contents, `run ${run} of seed ${seed} on ${places.name}`).toEqual(whole.contents);
        await place.remove();
        place = await places.fresh();
      }
    }
    const last = await night(place, 0, null);
    expect(last, `the end of seed ${seed} on ${places.name}`).toMatchObject({ contents: whole.contents });
    // And once more over the same: nothing changes.
    expect(await night(place, 0, null)).toMatchObject({ contents: whole.contents });
    await place.remove();
  },
  60_000 + kills * 60_000,
);
