#!/usr/bin/env node
/**
 * The program: streams of the process in, exit status out. Nothing that a person or a file can do ends in a stack trace;
 * a fault of the program itself is one sentence (NODE_DEBUG=gearhold shows where it happened).
 */
import { enableCompileCache } from 'node:module';
import { constants } from 'node:os';
import { fileURLToPath } from 'node:url';
import { debuglog } from 'node:util';

// What Node compiles is kept beside the packages that it comes from, so that the next start takes a third of the time.
// Where that folder cannot be written nothing is kept.
enableCompileCache(fileURLToPath(new URL('../../../node_modules/.cache/gearhold', import.meta.url)));

// After that, so that these are kept as well.
const { complaint } = await import('@gearhold/look');
const { exitStatus } = await import('@gearhold/shared');

const { stdin, stdout, stderr } = process;
const debug = debuglog('gearhold');

// Whoever read the output has read enough: that is no error of ours.
stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code === 'EPIPE') process.exit(process.exitCode ?? exitStatus.done);
  fail('standard output could not be written', error);
});
stderr.on('error', () => {});

// The listeners of 'exit' remove what is unfinished.
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
  process.once(signal, () => process.exit(128 + constants.signals[signal]));
}

process.on('uncaughtException', (error) => fail('the program itself failed', error));

const { runProgram } = await import('./program.ts');
process.exitCode = await runProgram(process.argv.slice(2), { stdin, stdout, stderr });

function fail(what: string, error: Error): never {
  debug('%s', error.stack);
  stderr.write(`${complaint(`${what}: ${error.message}`)}\n`);
  process.exit(exitStatus.fault);
}
