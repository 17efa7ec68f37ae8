#!/usr/bin/env node
/** The program: starts the service, prints where it is, and stops it on SIGINT or SIGTERM. */
import { complaint } from '@gearhold/look';
import { exitStatus, Failure } from '@gearhold/shared';
import { StoreError } from '@gearhold/store';
import { apiConfiguration } from './configuration.ts';
import { firstSignIn, serve } from './serve.ts';

/** How long requests that were accepted may take to end, ms. */
const patienceMs = 30_000;

try {
  const running = await serve(apiConfiguration(process.env));
  process.stdout.write(firstSignIn(running));
  let stopping = false;
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.on(signal, () => {
      if (stopping) return;
      stopping = true;
      setTimeout(() => process.exit(exitStatus.fault), patienceMs).unref();
      running.stop().then(
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
