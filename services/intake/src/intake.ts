#!/usr/bin/env node
/** The program: takes readings until SIGINT or SIGTERM, then finishes the batches that it accepted. */
import type { AddressInfo } from 'node:net';
import { newRegistry } from '@gearhold/http';
import { complaint } from '@gearhold/look';
import { allowedAddresses } from '@gearhold/operations/notify';
import { exitStatus, Failure } from '@gearhold/shared';
import { createLogger, systemClock } from '@gearhold/shared/service';
import { openStore, StoreError } from '@gearhold/store';
import { intakeApp } from './app.ts';
import { intakeConfiguration } from './configuration.ts';

/** How long batches that were accepted may take to end, ms. */
const patienceMs = 30_000;

try {
  const { databaseUrl, address, port, trustProxy, logLevel } = intakeConfiguration(process.env);
  const log = createLogger('intake', logLevel);
  // The folder is of no account where there is a server.
  const store = await openStore({ databaseUrl, folder: '', nowMs: systemClock.now() });
  const registry = newRegistry();
  const app = await intakeApp(
    { store, clock: systemClock, log, https: false, webhookAddresses: allowedAddresses([]) },
    { registry, ...(trustProxy !== undefined && { trustProxy }) },
  );
  await app.listen({ host: address, port }).catch(async (error: unknown) => {
    await store.close();
    throw error;
  });
  const host = address.includes(':') ? `[${address}]` : address;
  process.stdout.write(`gearhold takes readings at http://${host}:${(app.server.address() as AddressInfo).port}\n`);
  let stopping = false;
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.on(signal, () => {
      if (stopping) return;
      stopping = true;
      setTimeout(() => process.exit(exitStatus.fault), patienceMs).unref();
      app
        .close()
        .then(() => store.close())
        .then(
          () => process.exit(exitStatus.done),
          () => process.exit(exitStatus.fault),
        );
    });
  }
} catch (error) {
  if (error instanceof Failure) {
    process.stderr.write(`${complaint(error.message)}\n`);
    process.exitCode = error.status;
  } else if (error instanceof StoreError || (error as NodeJS.ErrnoException).code === 'EADDRINUSE') {
    process.stderr.write(`${complaint(`${(error as Error).message}.`)}\n`);
    process.exitCode = exitStatus.fault;
  } else throw error;
}
