/**
 * A night is killed around its mails: between the end of DATA and the server's answer, right after the answer, or at a random moment
 * around a statement. Started again until it ends, no recipient has two mails of a day, and one who has none is told of as in doubt. The
 * server here is a real one; it counts what it took.
 */
import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { dayAfter } from '@gearhold/operations/day';
import { SMTPServer } from 'smtp-server';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { Random } from '../../fixtures/src/random.ts';
import { testFolder } from '../cli/folder.ts';
import { runNight } from './run-night.ts';
import { type StorePlace, type StorePlaces, storePlaces } from './store-places.ts';

const rounds = Math.max(4, Math.ceil(Number(process.env.FAULTS_KILLS ?? 6) / 5));
const seed = process.env.FAULTS_SEED ?? 'mail';
const addresses = ['one@cairn.example', 'two@cairn.example', 'three@cairn.example'];
/** The statements of a night that has nothing to do but mails. */
const momentsOfMails = 160;

const folder = testFolder();
const inbox = folder.at('inbox');
const recipients = folder.write('recipients.json', JSON.stringify(addresses.map((address) => ({ address }))));

/** `before`: the process dies before the answer; `after`: as the answer is sent. */
let killing: 'before' | 'after' | null = null;
let child: ChildProcess | null = null;
/** Mails that were taken, by day and recipient. */
const taken = new Map<string, number>();

const server = new SMTPServer({
  authOptional: true,
  disabledCommands: ['AUTH', 'STARTTLS'],
  onData: (stream, session, answer) => {
    let text = '';
    stream.on('data', (chunk: Buffer) => (text += chunk));
    stream.on('end', () => {
      const day = /^Message-ID: <(\d{4}-\d\d-\d\d)\./m.exec(text)?.[1];
      const [to] = session.envelope.rcptTo;
      const key = `${day} ${to!.address}`;
      taken.set(key, (taken.get(key) ?? 0) + 1);
      if (killing === 'before') child?.kill('SIGKILL');
      answer();
      if (killing === 'after') setImmediate(() => child?.kill('SIGKILL'));
      killing = null;
    });
  },
});

let places: StorePlaces;
let place: StorePlace;
let environment: Readonly<Record<string, string>>;

beforeAll(async () => {
  mkdirSync(inbox);
  server.on('error', () => {});
  server.listen(0, '127.0.0.1');
  await once(server.server, 'listening');
  const { port } = server.server.address() as AddressInfo;
  environment = {
    GEARHOLD_SMTP_HOST: '127.0.0.1',
    GEARHOLD_SMTP_PORT: String(port),
    GEARHOLD_SMTP_TLS: 'none',
    GEARHOLD_MAIL_FROM: 'gearhold@cairn.example',
  };
  places = await storePlaces(folder.path);
  place = await places.fresh();
}, 240_000);

afterAll(async () => {
  await new Promise<void>((done) => server.close(done));
  await place?.remove();
  await places?.close();
});

test(
  `killed around its mails on ${rounds} days, a night sends nobody two`,
  async () => {
    const random = new Random(seed, 'mail');
    let killed = 0;
    const watch = (running: ChildProcess) => {
      child = running;
    };
    for (let round = 0, day = '2026-03-02'; round < rounds; round++, day = dayAfter(day)) {
      const kind = random.next();
      killing = kind < 0.35 ? 'before' : kind < 0.7 ? 'after' : null;
      const dieAt = killing === null ? 1 + Math.floor(random.next() * momentsOfMails) : 0;
      const first = await runNight(place, { inbox, day, recipients, environment, dieAt, watch });
      if (first === 'killed') killed += 1;
      killing = null;
      const last = await runNight(place, { inbox, day, recipients, environment, watch });
      if (last === 'killed') throw new Error('nobody killed this one');
      const told = `day ${day} of seed ${seed} on ${places.name}`;
      const inDoubt = last.digests.filter(({ state }) => state === 'unknown').map(({ recipient }) => recipient);
      for (const address of addresses) {
        const mails = taken.get(`${day} ${address}`) ?? 0;
        expect(mails, `${told}: ${address}`).toBeLessThanOrEqual(1);
        if (mails === 0) expect(inDoubt, told).toContain(address);
      }
    }
    expect(taken.size).toBeGreaterThan(rounds);
    expect(killed).toBeGreaterThanOrEqual(Math.floor(rounds / 2));
  },
  60_000 + rounds * 60_000,
);
