/** What the fleet states: vehicles, sites, drivers, policies, source profiles; and what was learned. */
import { vehicleSchema } from '@gearhold/episodes';
import { policySchema, sitesSchema } from '@gearhold/policy';
import { sourceProfileSchema } from '@gearhold/signals';
import { z } from 'zod';
import { levelsSchema } from '../levels.ts';
import { cursor, identifier, limit, pageOf, time, timeGiven, wholeListOf } from './parts.ts';

const page = { limit: limit.default(100), cursor: cursor.optional() };
export const pageQuery = z.strictObject(page);

export const vehicle = z
  .object({
    vehicleId: z.string(),
    statements: z.array(vehicleSchema).meta({ description: 'What is stated of it, one entry a validFrom' }),
    firstReadingTime: time.nullable(),
    lastReadingTime: time.nullable(),
    analysedUntil: time.nullable().meta({ description: 'Readings up to here are in the episodes' }),
    learned: levelsSchema.nullable().meta({ description: 'As of the last analysis; null where none ran yet' }),
  })
  .meta({ id: 'Vehicle' });
export const vehiclePage = pageOf('VehiclePage', vehicle);
export const vehicleStatements = z
  .array(vehicleSchema.omit({ vehicleId: true }))
  .max(50)
  .meta({ id: 'VehicleStatements', description: 'Replaces what is stated of the vehicle' });

const siteEntry = sitesSchema.element;
export const site = z.object({ site: siteEntry }).meta({ id: 'Site' });
export const siteGiven = siteEntry;
export const sitePage = wholeListOf('SitePage', site);

export const driver = z
  .object({
    driverId: z.string(),
    name: z.string().nullable().meta({ description: 'null where none is kept' }),
    assignments: z
      .array(
        z.object({
          terminal: z.string(),
          from: z.iso.date().nullable().meta({ description: 'First day; null: always' }),
          until: z.iso
            .date()
            .nullable()
            .meta({ description: 'First day on which it no longer holds; null: it still does' }),
        }),
      )
      .meta({ description: 'By day, in the order of time' }),
  })
  .meta({ id: 'Driver' });
const day = z.iso.date().refine((text) => text >= '1900-01-01', 'expected a day from 1900 on');
export const driverStatement = z
  .strictObject({
    name: z.string().trim().min(1).max(200).nullable().default(null).meta({ description: 'null: none is kept' }),
    assignments: z
      .array(
        z
          .strictObject({
            terminal: identifier,
            from: day.nullable().default(null).meta({ description: 'First day; null: always' }),
            until: day
              .nullable()
              .default(null)
              .meta({ description: 'First day on which it no longer holds; null: it still does' }),
          })
          .refine(({ from, until }) => from === null || until === null || from < until, {
            message: 'expected until to be after from',
            path: ['until'],
          }),
      )
      .min(1)
      .max(200)
      .meta({ description: 'Of which no two hold on one day' }),
  })
  .superRefine(({ assignments }, context) => {
    const inOrder = assignments
      .map((one, at) => ({ ...one, at }))
      .sort((a, b) => ((a.from ?? '') < (b.from ?? '') ? -1 : 1));
    for (const [place, one] of inOrder.entries()) {
      const next = inOrder[place + 1];
      if (next === undefined || (one.until !== null && next.from !== null && one.until <= next.from)) continue;
      const message = 'expected a first day on which no other assignment holds';
      context.addIssue({ code: 'custom', path: ['assignments', next.at, 'from'], message });
    }
  })
  .meta({ id: 'DriverStatement', description: 'Replaces what is stated of the driver' });
export const driverPage = pageOf('DriverPage', driver);

export const policyState = z.enum(['draft', 'in-force', 'scheduled', 'past']).meta({ id: 'PolicyState' });
export const storedPolicy = z
  .object({
    policyId: z.string(),
    name: z.string(),
    state: policyState,
    validFrom: time.nullable().meta({ description: 'From this load transfer on; null for a draft' }),
    validUntil: time.nullable(),
    createdTime: time,
    createdBy: z.string().nullable(),
    document: z.record(z.string(), z.unknown()).meta({ description: 'The policy file' }),
  })
  .meta({ id: 'StoredPolicy' });
export const policyPage = wholeListOf('PolicyPage', storedPolicy);
export const policyDraft = z
  .strictObject({ name: z.string().trim().min(1).max(100), document: policySchema })
  .meta({ id: 'PolicyDraft' });
export const enforcement = z
  .strictObject({ validFrom: timeGiven.meta({ description: 'In the future, or now at the earliest' }) })
  .meta({ id: 'Enforcement' });
export const policyDifference = z
  .object({
    items: z.array(
      z.object({
        check: z.string(),
        what: z.string().meta({ description: 'Name of the limit, or enabled, concern, urgency, order' }),
        inForce: z.union([z.string(), z.number(), z.boolean()]).nullable(),
        draft: z.union([z.string(), z.number(), z.boolean()]).nullable(),
      }),
    ),
    overridesDiffer: z.boolean(),
  })
  .meta({ id: 'PolicyDifference' });

export const profileGiven = sourceProfileSchema;
export const storedProfile = z
  .object({ name: identifier, changedTime: time, profile: z.record(z.string(), z.unknown()) })
  .meta({ id: 'StoredProfile' });
export const profilePage = pageOf('ProfilePage', storedProfile);
