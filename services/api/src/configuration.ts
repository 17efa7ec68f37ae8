/** What the service is told by its environment, checked at the start with a sentence a mistake. */
import { type DutyPlace, dutyPlace } from '@gearhold/operations/duty';
import { type Allowed, allowedAddresses } from '@gearhold/operations/notify';
import { defaultStoreFolder } from '@gearhold/operations/store-place';
import { logLevels, readConfiguration } from '@gearhold/shared/service';
import { isZone } from '@gearhold/signals';
import { z } from 'zod';

const flag = z.enum(['yes', 'no']).default('no');

const schema = z.object({
  DATABASE_URL: z.string().optional(),
  GEARHOLD_STORE: z.string().default(defaultStoreFolder),
  GEARHOLD_ADDRESS: z.string().default('127.0.0.1'),
  GEARHOLD_PORT: z.coerce.number().int().min(0).max(65_535).default(8471),
  GEARHOLD_ZONE: z.string().refine(isZone, 'expected an IANA time zone, such as America/Chicago').default('UTC'),
  GEARHOLD_HTTPS: flag,
  GEARHOLD_TRUST_PROXY: z.string().optional(),
  GEARHOLD_WEBHOOK_ADDRESSES: z
    .string()
    .default('')
    .transform((text, context): Allowed => {
      try {
        return allowedAddresses(text.split(/[\s,]+/).filter((entry) => entry !== ''));
      } catch (error) {
        context.addIssue({ code: 'custom', message: (error as Error).message });
        return z.NEVER;
      }
    }),
  GEARHOLD_LOG: z.enum(logLevels).default('info'),
});

export interface Configuration {
  readonly databaseUrl: string | undefined;
  readonly folder: string;
  readonly address: string;
  readonly port: number;
  readonly zone: string;
  /** Whether people reach the service by HTTPS. */
  readonly https: boolean;
  /** Addresses of proxies whose word on the caller's address is believed. */
  readonly trustProxy: string | undefined;
  readonly webhookAddresses: Allowed;
  /** Who is mailed at once of what is urgent; null: nobody. */
  readonly duty: DutyPlace | null;
  readonly logLevel: (typeof logLevels)[number];
}

/** @throws Failure of status 2, a line a mistake */
export function apiConfiguration(environment: Readonly<Record<string, string | undefined>>): Configuration {
  const read = readConfiguration(schema, environment);
  return {
    databaseUrl: read.DATABASE_URL,
    folder: read.GEARHOLD_STORE,
    address: read.GEARHOLD_ADDRESS,
    port: read.GEARHOLD_PORT,
    zone: read.GEARHOLD_ZONE,
    https: read.GEARHOLD_HTTPS === 'yes',
    trustProxy: read.GEARHOLD_TRUST_PROXY,
    webhookAddresses: read.GEARHOLD_WEBHOOK_ADDRESSES,
    duty: dutyPlace(environment),
    logLevel: read.GEARHOLD_LOG,
  };
}
