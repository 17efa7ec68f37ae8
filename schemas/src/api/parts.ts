/** Parts that several messages of the API have in common. */
import { z } from 'zod';

export const time = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z$/)
  .meta({ format: 'date-time', maxLength: 24, description: 'ISO 8601 with milliseconds and Z' });

/** A time as a caller may write it: any RFC 3339 with offset. */
export const timeGiven = z.iso
  .datetime({ offset: true })
  .max(40)
  .meta({ format: 'date-time', description: 'RFC 3339 with offset' });

export const identifier = z.string().min(1).max(64);

export const cursor = z.string().min(1).max(1000).meta({ description: 'Opaque; `nextCursor` of the page before' });

export const limit = z.coerce.number().int().min(1).max(1000);

const nextCursor = z.string().max(1000).nullable();

/** A page of a list: what follows is asked for with `nextCursor`; null at the end. */
export function pageOf<T extends z.ZodType>(id: string, item: T) {
  return z
    .object({ items: z.array(item).max(1000), nextCursor })
    .meta({ id, description: 'A page. New rows never make a later page skip or repeat one.' });
}

/** A list that is short enough to be given whole, in the form of a page. */
export function wholeListOf<T extends z.ZodType>(id: string, item: T) {
  return z.object({ items: z.array(item), nextCursor }).meta({ id, description: 'The whole list on one page.' });
}

/** Which terminals a matter belongs to; null where that is not known. */
export const terminals = z
  .object({
    driver: z.string().nullable(),
    site: z.string().nullable(),
    vehicle: z.string().nullable(),
  })
  .meta({ id: 'Terminals' });
