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

/** Entries of the vehicles file by vehicle, in the order of the file. */
export function entriesByVehicle(vehicles: readonly Vehicle[]): Map<string, readonly Vehicle[]> {
  return Map.groupBy(vehicles, (vehicle) => vehicle.vehicleId);
}

/**
 * Of several entries of one vehicle the latest whose `validFrom` is not after the day (UTC) of an instant; of one day's, the
 * last in the file. Null where none is valid yet.
 *
 * @param timeMs ms since the epoch
 */
export function validAt(entries: readonly Vehicle[], timeMs: number): Vehicle | null {
  let valid: Vehicle | null = null;
  for (const entry of entries) {
    if (validFromMs(entry) <= timeMs && (valid === null || validFromMs(entry) >= validFromMs(valid))) valid = entry;
  }
  return valid;
}

/** When the next entry of a vehicle begins to hold after an instant, ms since the epoch; Infinity where none does. */
export function nextValidMs(entries: readonly Vehicle[], timeMs: number): number {
  let next = Number.POSITIVE_INFINITY;
  for (const entry of entries) {
    const fromMs = validFromMs(entry);
    if (fromMs > timeMs && fromMs < next) next = fromMs;
  }
  return next;
}

/** The beginning of the day (UTC) from which an entry holds. */
function validFromMs({ validFrom }: Vehicle): number {
  return validFrom === undefined ? Number.NEGATIVE_INFINITY : Date.parse(`${validFrom}T00:00:00Z`);
}
