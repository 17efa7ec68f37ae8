/**
 * What a fleet may state of a truck: the vehicles file of the analysis contract. Everything but the id is optional; what
 * is not stated is learned.
 */
import { z } from 'zod';

const kpa = z.number().min(0).max(6425.5);

export const vehicleSchema = z
  .strictObject({
    vehicleId: z.string().min(1).max(64),
    use: z.enum(['road', 'yard', 'other']).optional(),
    driveSuspension: z.enum(['air', 'spring']).optional(),
    driveAxles: z.number().int().min(1).max(4).optional(),
    liftAxle: z.boolean().optional(),
    airDump: z.boolean().optional(),
    gearbox: z.enum(['manual', 'automated']).optional(),
    terminal: z.string().min(1).optional(),
    blindSpeedKph: z.number().min(0).max(6).optional(),
    levels: z
      .strictObject({ bobtailKpa: kpa.optional(), emptyKpa: kpa.optional(), loadedKpa: kpa.optional() })
      .optional(),
    validFrom: z.iso.date().optional(),
  })
  .describe('One truck of the vehicles file.');

/** Several entries of one vehicle are told apart by `validFrom`: the latest one not after the episode holds. */
export const vehiclesSchema = z.array(vehicleSchema).describe('The vehicles file: what a fleet states of its trucks.');

export type Vehicle = z.infer<typeof vehicleSchema>;
