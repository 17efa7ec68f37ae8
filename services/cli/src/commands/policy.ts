/** `gearhold policy show`: the built-in policy as a file to start from. */
import { builtInPolicy, policyFile } from '@gearhold/policy';

import { type ExitStatus, exitStatus } from '@gearhold/shared';
import type { Io } from '../job.ts';

export function policyShowCommand(io: Io): ExitStatus {
  io.stdout.write(`${JSON.stringify(policyFile(builtInPolicy), null, 2)}\n`);
  return exitStatus.done;
}
