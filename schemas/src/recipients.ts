/** The recipients file: who gets the daily digest, and which part of it. */
import { concerns } from '@gearhold/policy';
import { z } from 'zod';

const terminal = z.string().min(1);

function isZone(text: string): boolean {
  try {
    new Intl.DateTimeFormat('en-US', { timeZone: text });
    return true;
  } catch {
    return false;
  }
}

export const recipientSchema = z
  .strictObject({
    address: z.email('expected a mail address, such as safety@example.org').describe('Where the mail goes.'),
    terminals: z
      .union([z.literal('all'), z.array(terminal).min(1)])
      .default('all')
      .describe('Terminals whose trucks, sites and drivers are told of. all also has what belongs to no terminal.'),
    concerns: z
      .union([z.literal('all'), z.array(z.enum(concerns)).min(1)])
      .default('all')
      .describe(
        'driver: steps to talk over; yard: what to mend; shop: trucks and sensors to look at; unclear: the rest.',
      ),
    drivers: z
      .enum(['names', 'ids', 'none'])
      .default('ids')
      .describe('How drivers are named: by name where the drivers file has one, by id, or not at all.'),
    units: z.enum(['metric', 'us']).default('metric').describe('us: psi, mph, feet, pounds.'),
    zone: z
      .string()
      .refine(isZone, 'expected an IANA time zone, such as America/Chicago')
      .optional()
      .describe("For times away from any site that has a zone of its own. Defaults to the fleet's zone."),
  })
  .describe('One person, or one list, that gets the digest.');

export const recipientsSchema = z
  .array(recipientSchema)
  .superRefine((recipients, context) => {
    const seen = new Map<string, number>();
    for (const [index, { address }] of recipients.entries()) {
      const known = address.toLowerCase();
      const first = seen.get(known);
      if (first === undefined) seen.set(known, index);
      else {
        const message = `expected every address once; it also stands at [${first}]`;
        context.addIssue({ code: 'custom', path: [index, 'address'], message });
      }
    }
  })
  .describe('The recipients file: one mail a day for each of them.');

export type Recipient = z.output<typeof recipientSchema>;
