/**
 * The connection to the database breaks, again and again, while a night runs. It is tried anew; where it stays away the run ends in a
 * sentence; and in the end no reading is lost and none is there twice. Needs the server that DATABASE_URL names.
 */

import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { createServer, connect as openSocket, type Server, type Socket } from 'node:net';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { Random } from '../../fixtures/src/random.ts';
import { testFolder } from '../cli/folder.ts';
import { fillInbox } from './inbox.ts';
import { runNight } from './run-night.ts';
import { type StorePlaces, storePlaces } from './store-places.ts';

const { DATABASE_URL: databaseUrl } = process.env;
const seed = process.env.FAULTS_SEED ?? 'connection';
const folder = testFolder();
const inbox = folder.at('inbox');

/** Hands bytes on between its clients and the server, and can let go of all of them. */
class Relay {
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();

  constructor(to: URL) {
    this.#server = createServer((client) => {
      const server = openSocket(Number(to.port || 5432), to.hostname);
      for (const socket of [client, server]) {
        this.#sockets.add(socket);
        socket.on('error', () => {});
        socket.on('close', () => {
          this.#sockets.delete(socket);
          client.destroy();
          server.destroy();
        });
      }
      client.pipe(server);
      server.pipe(client);
    });
  }

  async listen(): Promise<number> {
    this.#server.listen(0, '127.0.0.1');
    await once(this.#server, 'listening');
    return (this.#server.address() as AddressInfo).port;
  }

  breakAll(): void {
    for (const socket of this.#sockets) socket.destroy();
  }

  close(): void {
    this.#server.close();
    this.breakAll();
  }
}

let places: StorePlaces;
beforeAll(async () => {
  if (!databaseUrl) return;
  fillInbox(inbox);
  places = await storePlaces(folder.path);
}, 120_000);
afterAll(() => places?.close());

test.runIf(databaseUrl)(
  'a connection that breaks loses nothing',
  async () => {
    const undisturbed = await places.fresh();
    const whole = await runNight(undisturbed, { inbox });
    await undisturbed.remove();
    if (whole === 'killed') throw new Error('nobody killed this one');

    const place = await places.fresh();
    const url = new URL(place.environment.DATABASE_URL!);
    const proxy = new Relay(new URL(url));
    const port = await proxy.listen();
    const through = {
      ...place,
      environment: { DATABASE_URL: Object.assign(url, { hostname: '127.0.0.1', port: String(port) }).href },
    };
    const random = new Random(seed, 'connection');
    let breaks = 0;
    const timer = setInterval(() => {
      if (random.next() >= 0.2 || breaks >= 40) return;
      breaks += 1;
      proxy.breakAll();
    }, 150);
    try {
      for (let run = 0; ; run++) {
        const report = await runNight(through, { inbox }).catch((error: Error) => error.message);
        if (typeof report !== 'string') {
          expect(report, `after ${breaks} breaks of seed ${seed}`).toMatchObject({ contents: whole.contents });
          break;
        }
        // It gave up, in words that name neither password nor row.
        expect(report).toMatch(/StoreError: the database at .* does not answer|lost|aborted/i);
        expect(run).toBeLessThan(60);
      }
    } finally {
      clearInterval(timer);
      proxy.close();
      await place.remove();
    }
    expect(breaks).toBeGreaterThan(0);
  },
  600_000,
);
