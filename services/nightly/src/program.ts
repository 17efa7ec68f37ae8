/** The command line of the nightly run, with everything that a test can hold in place of the process's own. */
import { complaint } from '@gearhold/look';
import { type ExitStatus, exitStatus, Failure } from '@gearhold/shared';
import { type Clock, createLogger } from '@gearhold/shared/service';
import { CommanderError } from 'commander';
import { night } from './night.ts';
import { nightlyCommand } from './options.ts';

export interface ProgramIo {
  readonly stdout: NodeJS.WritableStream;
  readonly stderr: NodeJS.WritableStream;
  readonly environment: Readonly<Record<string, string | undefined>>;
  readonly clock: Clock;
}

/** Runs one command line (without the program's own name) and gives the exit status. */
export async function runProgram(args: readonly string[], io: ProgramIo): Promise<ExitStatus> {
  const { stdout, stderr, environment, clock } = io;
  let status: ExitStatus = exitStatus.done;
  const command = nightlyCommand(
    async (settings) => {
      const log = createLogger('nightly', settings.logLevel, stderr);
      try {
        status = await night(settings, { stdout, log, clock });
      } catch (error) {
        if (!(error instanceof Failure)) log.error({ err: error }, 'night failed');
        throw error;
      }
    },
    environment,
    clock.now(),
  )
    .exitOverride()
    .configureHelp({ helpWidth: 100 })
    .configureOutput({
      writeOut: (text) => stdout.write(text),
      writeErr: (text) => stderr.write(text),
      outputError: (text, write) =>
        write(
          `${complaint(
            text
              .replace(/^error: /, '')
              .trim()
              .replaceAll('\n', ' '),
          )}\n`,
        ),
    });
  try {
    await command.parseAsync(args, { from: 'user' });
    return status;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? exitStatus.done : exitStatus.usage;
    if (!(error instanceof Failure)) throw error;
    for (const sentence of error.message.split('\n')) stderr.write(`${complaint(sentence)}\n`);
    return error.status;
  }
}
