import { expect, test } from 'vitest';
import { z } from 'zod';
import { readConfiguration } from './configuration.ts';
import { Failure } from './failure.ts';

const schema = z.object({
  GEARHOLD_ZONE: z.string().default('UTC'),
  SMTP_PORT: z.coerce.number().int().max(65535).optional(),
  SMTP_URL: z.url().optional(),
});

test('what is set is taken, an empty variable is not set, strangers are left alone', () => {
  expect(readConfiguration(schema, { GEARHOLD_ZONE: '', SMTP_PORT: '25', PATH: '/bin' })).toEqual({
    GEARHOLD_ZONE: 'UTC',
    SMTP_PORT: 25,
  });
});

test('a mistake is one sentence that names the variable and not its value', () => {
  try {
    readConfiguration(schema, { SMTP_PORT: '70000', SMTP_URL: 'pear' });
    expect.unreachable();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    expect(error.message.split('\n')).toEqual([
      expect.stringMatching(/^the environment variable SMTP_PORT: expected number to be <=65535\.$/),
      expect.stringMatching(/^the environment variable SMTP_URL: .*\.$/),
    ]);
    expect(error.message).not.toMatch(/70000|pear/);
  }
});
