/** Who is mailed at once of what is urgent, from the environment; the way that the mail takes is that of the digests. */
import { exitStatus, Failure } from '@gearhold/shared';
import { type Environment, readConfiguration } from '@gearhold/shared/service';
import { z } from 'zod';
import { type MailPlace, mailPlace } from '../digest/index.ts';

export interface DutyPlace {
  /** The only address that is ever mailed. */
  readonly address: string;
  /** Whom to call, in the fleet's own words. */
  readonly call: string;
  readonly units: 'metric' | 'us';
  readonly mail: MailPlace;
}

const schema = z.object({
  GEARHOLD_DUTY_ADDRESS: z.email('expected a mail address, such as duty@example.org').optional(),
  GEARHOLD_DUTY_CALL: z.string().max(500, 'expected at most 500 characters').optional(),
  GEARHOLD_DUTY_UNITS: z.enum(['metric', 'us']).default('metric'),
});

/** Null where nobody is to be mailed. @throws Failure of status 2 with a sentence a mistake */
export function dutyPlace(environment: Environment): DutyPlace | null {
  const read = readConfiguration(schema, environment);
  const { GEARHOLD_DUTY_ADDRESS: address, GEARHOLD_DUTY_CALL: call } = read;
  if (address === undefined) return null;
  if (call === undefined) {
    throw new Failure(
      exitStatus.usage,
      'the environment variable GEARHOLD_DUTY_CALL: expected whom to call, such as Dispatch, 555 0100, since GEARHOLD_DUTY_ADDRESS is set.',
    );
  }
  return { address, call, units: read.GEARHOLD_DUTY_UNITS, mail: mailPlace(environment) };
}
