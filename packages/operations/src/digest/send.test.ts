/** The mails of a day from store to mailbox: at most one each, whatever happens, and nothing told twice or not at all. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  digestsOf,
  type Engine,
  handOverDigest,
  intendDigest,
  storeDrivers,
  storeSites,
  storeVehicles,
} from '@gearhold/store';
import { simpleParser } from 'mailparser';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { dayAfter, dayWindow } from '../day/window.ts';
import { type Courier, type Delivery, folderCourier } from './courier.ts';
import { type Mail, messageIdOf } from './message.ts';
import { readDayFacts, readEarlierFacts } from './read-facts.ts';
import { resendDigests, type SendOptions, sendDigests } from './send.ts';
import { check, day, episode, recipient, window } from './testing/day.ts';
import { emptyStore, forgetAll, putEpisodes, putReading } from './testing/stored-day.ts';

const hourMs = 3_600_000;
const noonMs = window.startMs + 12 * hourMs;
const sentMs = window.endMs + 4 * hourMs;
const from = 'gearhold@carrier.example';
const safety = recipient();
const yard = recipient({ address: 'yard@example.org', terminals: ['cairn'], concerns: ['yard'] });

let engine: Engine;
beforeAll(async () => {
  engine = await emptyStore(noonMs);
}, 120_000);
afterAll(() => engine.close());
beforeEach(async () => {
  await forgetAll(engine);
  await putReading(engine, 'T-104', noonMs);
});

/** Takes mails as it is told, the usual way first. */
class TestCourier implements Courier {
  readonly mails: Mail[] = [];
  readonly fates: (Delivery['state'] | 'unreachable' | 'killed')[];

  constructor(...fates: TestCourier['fates']) {
    this.fates = fates;
  }

  async deliver(mail: Mail, handOver: () => Promise<boolean>): Promise<Delivery> {
    const fate = this.fates.shift() ?? 'sent';
    if (fate === 'unreachable') return { state: 'refused', problem: 'nobody there', reached: false };
    if (fate === 'refused') return { state: 'refused', problem: 'no such mailbox', reached: true };
    if (!(await handOver())) return { state: 'overtaken' };
    this.mails.push(mail);
    if (fate === 'killed') throw new Error('killed');
    return fate === 'unknown' ? { state: 'unknown', problem: 'no answer' } : { state: 'sent', path: null };
  }

  texts(): Promise<string[]> {
    return Promise.all(this.mails.map(async ({ raw }) => (await simpleParser(Buffer.from(raw))).text ?? ''));
  }
}

function options(courier: Courier, change: Partial<SendOptions> = {}): SendOptions {
  return { recipients: [safety], courier, from, consoleUrl: null, now: () => sentMs, ...change };
}

const send = (courier: Courier, change: Partial<SendOptions> = {}, of = window) =>
  sendDigests(engine, of, options(courier, change));

const statesOf = async (of = window) =>
  (await digestsOf(engine, of.day)).map(({ recipient, state, attempts }) => [recipient, state, attempts]);

describe('a mail', () => {
  it('goes to each recipient once, however often the night runs', async () => {
    const courier = new TestCourier();
    const change = { recipients: [safety, yard] };
    expect((await send(courier, change)).map(({ recipient, state }) => [recipient, state])).toEqual([
      ['safety@example.org', 'sent'],
      ['yard@example.org', 'sent'],
    ]);
    expect((await send(courier, change)).map(({ state }) => state)).toEqual(['before', 'before']);
    expect(courier.mails.map(({ to }) => to)).toEqual(['safety@example.org', 'yard@example.org']);
    const [record] = await digestsOf(engine, window.day);
    expect(record?.messageId).toBe(messageIdOf({ from, to: safety.address, occasion: window.day }));
  });

  it('whose fate is unknown is told of, not sent again, until somebody asks', async () => {
    const courier = new TestCourier('unknown');
    expect(await send(courier)).toMatchObject([{ state: 'unknown', problem: 'no answer' }]);
    expect(await send(courier)).toMatchObject([{ state: 'unknown', problem: 'no answer' }]);
    expect(courier.mails).toHaveLength(1);
    expect(await resendDigests(engine, window, options(courier), ['other@example.org'])).toEqual([]);
    expect(await resendDigests(engine, window, options(courier), 'all')).toMatchObject([{ state: 'sent' }]);
    expect(new Set(courier.mails.map(({ messageId }) => messageId)).size).toBe(1);
    expect(await resendDigests(engine, window, options(courier), 'all')).toMatchObject([{ state: 'before' }]);
    expect(courier.mails).toHaveLength(2);
  });

  it('is in doubt after a kill while it was handed over, and goes out after a kill before', async () => {
    const courier = new TestCourier('killed');
    await expect(send(courier)).rejects.toThrow('killed');
    expect(await send(courier)).toMatchObject([{ state: 'unknown', problem: /answer was not seen/ }]);
    expect(courier.mails).toHaveLength(1);
    const digest = { day: window.day, recipient: yard.address, messageId: '<x@y>' };
    await intendDigest(engine, digest, sentMs);
    expect(await send(courier, { recipients: [yard] })).toMatchObject([{ state: 'sent' }]);
    expect(await statesOf()).toEqual([
      ['safety@example.org', 'unknown', 1],
      ['yard@example.org', 'sent', 2],
    ]);
  });

  it('does not leave where another run has begun it since', async () => {
    const courier: Courier = {
      async deliver(_, handOver) {
        const other = await intendDigest(
          engine,
          { day: window.day, recipient: safety.address, messageId: '<x@y>' },
          sentMs,
        );
        expect(await handOverDigest(engine, other!, sentMs)).toBe(true);
        return (await handOver()) ? { state: 'sent', path: null } : { state: 'overtaken' };
      },
    };
    expect(await send(courier)).toMatchObject([{ state: 'unknown', problem: /another run/ }]);
    expect(await statesOf()).toEqual([['safety@example.org', 'unknown', 2]]);
  });

  it('that was refused is tried again by the next run, and by the next nights for three days', async () => {
    const courier = new TestCourier('refused', 'refused');
    expect(await send(courier)).toMatchObject([{ state: 'refused', problem: 'no such mailbox' }]);
    expect(await send(courier)).toMatchObject([{ state: 'refused' }]);
    const next = dayWindow(dayAfter(window.day, 3), window.zone);
    expect((await send(courier, {}, next)).map(({ day, state }) => [day, state])).toEqual([
      [window.day, 'sent'],
      [next.day, 'sent'],
    ]);
    const courierOfLater = new TestCourier('refused');
    await send(courierOfLater, {}, dayWindow('2026-04-01', window.zone));
    const later = await send(courierOfLater, {}, dayWindow('2026-04-05', window.zone));
    expect(later.map(({ day }) => day)).toEqual(['2026-04-05']);
  });

  it('of a day in doubt is told of in the next night too', async () => {
    const courier = new TestCourier('unknown');
    await send(courier);
    const next = dayWindow(dayAfter(window.day), window.zone);
    expect((await send(courier, {}, next)).map(({ day, state }) => [day, state])).toEqual([
      [window.day, 'unknown'],
      [next.day, 'sent'],
    ]);
  });

  it('is not tried at a server that cannot be reached, once that is known', async () => {
    const courier = new TestCourier('unreachable');
    const change = { recipients: [safety, yard] };
    expect((await send(courier, change)).map(({ state, problem }) => [state, problem])).toEqual([
      ['refused', 'nobody there'],
      ['refused', 'nobody there'],
    ]);
    expect(courier.mails).toEqual([]);
    expect((await send(courier, change)).map(({ state }) => state)).toEqual(['sent', 'sent']);
  });
});

describe('without a mail server', () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'mails-'));
  });
  afterEach(() => rmSync(folder, { recursive: true }));

  it('a mail is a file that any mail program opens, and its path is told', async () => {
    const courier = folderCourier(join(folder, 'new', 'mails'));
    const [outcome] = await send(courier);
    expect(outcome).toMatchObject({ state: 'written', problem: null });
    expect(outcome?.path).toMatch(/new\/mails\/2026-03-02-[0-9a-f]{8}\.eml$/);
    const mail = await simpleParser(readFileSync(outcome!.path!));
    expect(mail.subject).toBe('gearhold Mon 2 Mar 2026: nothing to look at');
    expect(await send(courier)).toMatchObject([{ state: 'before' }]);
    expect(readdirSync(join(folder, 'new', 'mails'))).toHaveLength(1);
  });
});

describe('what a mail says', () => {
  const later = '2026-03-03T15:00:00.000Z';

  it('is the day as it stands in the store', async () => {
    await engine.transaction(async (transaction) => {
      await storeSites(transaction, [...day().sites]);
      await storeDrivers(transaction, [
        { driverId: 'D-31', name: 'Ines Vauterin', terminal: 'cairn', from: null, until: null },
      ]);
      await storeVehicles(transaction, [
        { vehicleId: 'T-104', terminal: 'cairn', driveSuspension: 'spring' },
        { vehicleId: 'T-104', terminal: 'larch', validFrom: '2026-03-03' },
      ]);
    });
    await putReading(engine, 'T-160', noonMs, false);
    await putReading(engine, 'T-171', window.startMs - 3 * 24 * hourMs);
    await putReading(engine, 'T-171', window.endMs + hourMs);
    await putReading(engine, 'T-190', window.startMs - 20 * 24 * hourMs);
    await putEpisodes(
      engine,
      'T-104',
      [episode('a', [check()]), episode('b', [check()], { loadTransferTime: later, endTime: later })],
      noonMs,
    );
    const facts = await readDayFacts(engine, window);
    expect(facts.episodes.map(({ wire, terminal }) => [wire.episodeId, terminal])).toEqual([['a', 'cairn']]);
    const usual = { heard: true, loadReported: true, lastReadingMs: noonMs, terminal: null, steelSprings: false };
    expect(facts.trucks).toEqual([
      { ...usual, vehicleId: 'T-104', terminal: 'cairn', steelSprings: true },
      { ...usual, vehicleId: 'T-160', loadReported: false },
      {
        ...usual,
        vehicleId: 'T-171',
        heard: false,
        loadReported: false,
        lastReadingMs: window.startMs - 3 * 24 * hourMs,
      },
    ]);
    expect(facts.driverNames).toEqual(new Map([['D-31', 'Ines Vauterin']]));
    const courier = new TestCourier();
    await send(courier, { recipients: [recipient({ drivers: 'names' })] });
    const [text] = await courier.texts();
    for (const said of [
      'TO TALK OVER',
      'Ines Vauterin',
      '07:05 MST, Three Cairns depot',
      'Truck T-160',
      'Truck T-171\nLast heard on 27',
    ])
      expect(text).toContain(said);
    expect(text).not.toContain('T-190');
  });

  it('of earlier days is what was found since, once, and what is not proven any more', async () => {
    const next = dayWindow(dayAfter(window.day), window.zone);
    const after = dayWindow(dayAfter(window.day, 2), window.zone);
    const courier = new TestCourier();
    await putEpisodes(engine, 'T-104', [episode('a', [check()])], noonMs);
    await send(courier);
    // The next day, late readings show another one and clear the first.
    const other = {
      loadTransferTime: '2026-03-02T20:00:00.000Z',
      startTime: '2026-03-02T20:00:00.000Z',
      endTime: later,
    };
    const found = [episode('a', [check({ outcome: 'met' })]), episode('b', [check()], other)];
    await putEpisodes(engine, 'T-104', found, sentMs + hourMs, { arrivedLate: true });
    await send(courier, { now: () => sentMs + 24 * hourMs }, next);
    await send(courier, { now: () => sentMs + 48 * hourMs }, after);
    const [first, second, third] = await courier.texts();
    expect(first).toContain('TO TALK OVER');
    expect(second).toMatch(/FROM EARLIER DAYS[\s\S]*2 Mar 2026, 14:00 CST[\s\S]*ARRIVED LATE\./);
    expect(second).toMatch(/TAKEN BACK[\s\S]*gear-hold-pause, truck T-104\nUncoupling on 2 Mar 2026, 08:05 CST/);
    expect(third).not.toMatch(/EARLIER DAYS|TAKEN BACK/);
  });

  it('of earlier days is nothing in the first mail that somebody gets', async () => {
    await putEpisodes(engine, 'T-104', [episode('a', [check()])], noonMs);
    const next = dayWindow(dayAfter(window.day), window.zone);
    expect(await readEarlierFacts(engine, next, null)).toEqual({ found: [], takenBack: [] });
    const since = await readEarlierFacts(engine, next, noonMs - 1);
    expect(since.found.map(({ wire, check }) => [wire.episodeId, check.check])).toEqual([['a', 'gear-hold-pause']]);
  });
});
