/** The service as a whole: store, API, and the loop that analyses what arrives and tells the webhooks; started and stopped in order. */
import type { AddressInfo } from 'node:net';
import { newRegistry } from '@gearhold/http';
import { LiveLoop } from '@gearhold/operations/live';
import { type Clock, createLogger, type Logger, systemClock } from '@gearhold/shared/service';
import { type Engine, openStore } from '@gearhold/store';
import { Counter, Gauge, Histogram, type Registry } from 'prom-client';
import { admitFirst, firstLogin } from './access/first-start.ts';
import { apiApp } from './app.ts';
import type { Configuration } from './configuration.ts';
import { wireAnomaly } from './matters/anomaly.ts';

export interface Running {
  /** Where it listens, such as `http://127.0.0.1:8471`. */
  readonly address: string;
  readonly store: Engine;
  /** Of the administrator that this start admitted; null where somebody may sign in already. */
  readonly oneTimePassword: string | null;
  /** Takes nothing new, finishes what it accepted, and closes the store. */
  stop(): Promise<void>;
}

export interface ServeOptions {
  readonly clock?: Clock;
  readonly log?: Logger;
}

/** @throws StoreError, or Failure, in a sentence */
export async function serve(configuration: Configuration, options: ServeOptions = {}): Promise<Running> {
  const { clock = systemClock, log = createLogger('api', configuration.logLevel) } = options;
  const { databaseUrl, folder, https, webhookAddresses, zone } = configuration;
  const store = await openStore({ databaseUrl, folder, nowMs: clock.now() });
  try {
    const oneTimePassword = await admitFirst(store, clock.now());
    const registry = newRegistry();
    const loop = new LiveLoop({
      store,
      zone,
      message: (found, driverIds) => wireAnomaly(found, null, { driverNames: driverIds }),
      duty: configuration.duty,
      deliver: { allowed: webhookAddresses, nowMs: () => clock.now(), chance: Math.random },
      ...measured(registry),
      onDutyMail: ({ anomalyId, state, problem }) => {
        if (state === 'sent') log.info({ anomalyId }, 'the duty address was mailed');
        else
          log.error(
            { anomalyId, problem },
            `the mail to the duty address was ${state === 'refused' ? 'refused; it is tried again' : 'sent, and whether it arrived is not known; it is not sent again'}`,
          );
      },
      onFailure: (error) => log.error({ err: error }, 'a round of the analysis failed; it is tried again'),
    });
    const app = await apiApp(
      { store, clock, log, https, webhookAddresses },
      {
        registry,
        onStored: () => loop.wake(),
        ...(configuration.trustProxy !== undefined && { trustProxy: configuration.trustProxy }),
      },
    );
    await app.listen({ host: configuration.address, port: configuration.port });
    loop.start();
    const { port } = app.server.address() as AddressInfo;
    const host = configuration.address.includes(':') ? `[${configuration.address}]` : configuration.address;
    const { engine, version, place } = await store.describe();
    log.info({ engine, version, place, zone }, 'started');
    return {
      address: `http://${host}:${port}`,
      store,
      oneTimePassword,
      async stop() {
        log.info('stopping');
        await app.close();
        await loop.stop();
        await store.close();
        log.info('stopped');
      },
    };
  } catch (error) {
    await store.close();
    throw error;
  }
}

/** What is printed once, for whoever started the service. */
export function firstSignIn({ address, oneTimePassword }: Pick<Running, 'address' | 'oneTimePassword'>): string {
  if (oneTimePassword === null) return `gearhold serves at ${address}\n`;
  return (
    `gearhold serves at ${address}\n` +
    `Sign in as ${firstLogin} with the one-time password ${oneTimePassword}; it is shown this once.\n`
  );
}

function measured(registry: Registry) {
  const registers = [registry];
  const rows = new Counter({ name: 'gearhold_analysed_rows_total', help: 'Readings gone through', registers });
  const episodes = new Counter({
    name: 'gearhold_episodes_written_total',
    help: 'Episodes added, changed, withdrawn or found again',
    registers,
  });
  const deliveries = new Counter({ name: 'gearhold_deliveries_tried_total', help: 'Tries of webhooks', registers });
  const seconds = new Histogram({
    name: 'gearhold_round_seconds',
    help: 'Time of a round of the analysis',
    buckets: [0.01, 0.1, 0.5, 2, 10, 60],
    registers,
  });
  const last = new Gauge({ name: 'gearhold_last_round_vehicles', help: 'Vehicles of the last round', registers });
  return {
    onRound: (round: { vehicles: number; rows: number; episodes: number; tried: number; ms: number }) => {
      rows.inc(round.rows);
      episodes.inc(round.episodes);
      deliveries.inc(round.tried);
      seconds.observe(round.ms / 1000);
      last.set(round.vehicles);
    },
  };
}
