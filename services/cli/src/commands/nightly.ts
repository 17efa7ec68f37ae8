/** `gearhold nightly`: starts the nightly program, which is a service of its own, and ends as it ends. */
import { spawn } from 'node:child_process';
import { constants } from 'node:os';
import { fileURLToPath } from 'node:url';
import { type ExitStatus, exitStatus } from '@gearhold/shared';

const program = fileURLToPath(new URL('../../../nightly/src/nightly.ts', import.meta.url));

/** `args`: everything behind the command's name. The streams are the process's own. */
export async function nightlyCommand(args: readonly string[]): Promise<ExitStatus> {
  const child = spawn(process.execPath, [program, ...args], { stdio: 'inherit' });
  // Whoever ends this process means the other one.
  const end = () => child.kill();
  process.once('exit', end);
  const [status, signal] = await new Promise<[number | null, NodeJS.Signals | null]>((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (code, ended) => resolve([code, ended]));
  });
  process.off('exit', end);
  if (signal !== null) process.exit(128 + constants.signals[signal]);
  return (status ?? exitStatus.fault) as ExitStatus;
}
