/** Trucks of whose trailers pressure shows nothing. */
import type { Vehicle } from '@gearhold/episodes';

/** Vehicles that the vehicles file states to run on steel springs, in order. */
export function steelSprings(vehicles: readonly Vehicle[]): string[] {
  const steel = vehicles.filter((vehicle) => vehicle.driveSuspension === 'spring').map(({ vehicleId }) => vehicleId);
  return [...new Set(steel)].sort();
}
