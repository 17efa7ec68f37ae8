/**
 * The log that a machine reads: one JSON object a line on standard error, levels by name, times in RFC 3339. A secret never gets in:
 * keys that hold one are left out wherever they stand, up to two levels deep.
 */
import { destination, type Logger, pino, stdTimeFunctions } from 'pino';

export type { Logger } from 'pino';

export const logLevels = ['debug', 'info', 'warn', 'error', 'silent'] as const;
export type LogLevel = (typeof logLevels)[number];

const secretKeys = ['password', 'pass', 'secret', 'token', 'key', 'databaseUrl', 'smtpUrl', 'authorization'];

/** A log of one program. `stream` is standard error unless given; lines are written at once, so that a kill loses none. */
export function createLogger(program: string, level: LogLevel, stream?: { write(line: string): unknown }): Logger {
  return pino(
    {
      level,
      base: { program, pid: process.pid },
      timestamp: stdTimeFunctions.isoTime,
      formatters: { level: (label) => ({ level: label }) },
      serializers: { err: errorLine },
      redact: { paths: secretKeys.flatMap((key) => [key, `*.${key}`, `*.*.${key}`]), remove: true },
    },
    stream ?? destination({ dest: 2, sync: true }),
  );
}

/** An error without whatever else hangs on it: a database's details quote values of rows. */
function errorLine(error: unknown): Record<string, unknown> {
  if (!(error instanceof Error)) return { message: String(error) };
  const { code } = error as NodeJS.ErrnoException;
  return { type: error.name, message: error.message, code, stack: error.stack };
}
