/** The drivers file: who the fleet's drivers are, and which terminal each belongs to and when. */
import { z } from 'zod';

const id = z.string().min(1).max(64);

/** One driver, or one of several times a driver was at a terminal; further fields are not read. */
export const driverEntrySchema = z
  .object({
    driverId: id.describe('As the readings name the driver.'),
    name: z.string().min(1).max(200).optional(),
    terminal: id.describe('The branch of the carrier that the driver belongs to.'),
    from: z.iso.date().optional().describe('First day of belonging there; always before, where left out.'),
    to: z.iso.date().optional().describe('Last day of belonging there, included; still, where left out.'),
  })
  .refine(({ from, to }) => from === undefined || to === undefined || from <= to, {
    message: 'expected to to be no earlier than from',
    path: ['to'],
  })
  .describe('One driver, or one stay of a driver at a terminal.');

export const driversSchema = z.array(driverEntrySchema).describe('The drivers file, in any order.');

export type DriverEntry = z.infer<typeof driverEntrySchema>;
