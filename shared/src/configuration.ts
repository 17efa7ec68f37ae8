/**
 * Configuration from environment variables, checked by a zod schema whose keys are the variables' names. An empty variable counts
 * as not set. Every mistake is one sentence that names the variable and what was expected, never its value: that may be a secret.
 */
import type { z } from 'zod';
import { exitStatus, Failure } from './failure.ts';

export type Environment = Readonly<Record<string, string | undefined>>;

/** The schema's part of the environment. @throws Failure of status 2, a line a mistake */
export function readConfiguration<T>(schema: z.ZodType<T>, environment: Environment): T {
  const given = Object.fromEntries(
    Object.entries(environment).filter(([, value]) => value !== undefined && value !== ''),
  );
  const result = schema.safeParse(given);
  if (result.success) return result.data;
  const sentences = result.error.issues.map(({ path, message }) => {
    const expected = message.replace(/^(Invalid [a-z ]+|Too small|Too big): /, '').replace(/, received .*$/, '');
    return `the environment variable ${path.join('.')}: ${expected.charAt(0).toLowerCase()}${expected.slice(1).replace(/\.$/, '')}.`;
  });
  throw new Failure(exitStatus.usage, sentences.join('\n'));
}
