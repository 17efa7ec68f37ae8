#!/usr/bin/env node
/**
 * The program: streams and environment of the process in, exit status out. A summary for people on standard output, a log for machines
 * on standard error, where a failure also stands as a sentence.
 */
import { complaint } from '@gearhold/look';
import { exitStatus } from '@gearhold/shared';
import { systemClock } from '@gearhold/shared/service';
import { runProgram } from './program.ts';

const { stdout, stderr } = process;

stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});

process.on('uncaughtException', (error) => {
  stderr.write(`${complaint(`the program itself failed: ${error.message}`)}\n`);
  process.exit(exitStatus.fault);
});

process.exitCode = await runProgram(process.argv.slice(2), {
  stdout,
  stderr,
  environment: process.env,
  clock: systemClock,
});
