/** What the intake is told by its environment, checked at the start with a sentence a mistake. */
import { logLevels, readConfiguration } from '@gearhold/shared/service';
import { z } from 'zod';

const schema = z.object({
  // The embedded store belongs to one process: beside a service there is only a server.
  DATABASE_URL: z.string(
    'expected the PostgreSQL server that the service works with: the embedded store has no room for two',
  ),
  GEARHOLD_ADDRESS: z.string().default('127.0.0.1'),
  GEARHOLD_PORT: z.coerce.number().int().min(0).max(65_535).default(8472),
  GEARHOLD_TRUST_PROXY: z.string().optional(),
  GEARHOLD_LOG: z.enum(logLevels).default('info'),
});

export interface IntakeConfiguration {
  readonly databaseUrl: string;
  readonly address: string;
  readonly port: number;
  /** Addresses of proxies whose word on the caller's address is believed. */
  readonly trustProxy: string | undefined;
  readonly logLevel: (typeof logLevels)[number];
}

/** @throws Failure of status 2, a line a mistake */
export function intakeConfiguration(environment: Readonly<Record<string, string | undefined>>): IntakeConfiguration {
  const read = readConfiguration(schema, environment);
  return {
    databaseUrl: read.DATABASE_URL,
    address: read.GEARHOLD_ADDRESS,
    port: read.GEARHOLD_PORT,
    trustProxy: read.GEARHOLD_TRUST_PROXY,
    logLevel: read.GEARHOLD_LOG,
  };
}
