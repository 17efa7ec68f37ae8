/**
 * The columns of the table `reading`, in the order of the signal catalogue (held to it by a test): name, and how it travels.
 */
import type { SignalName } from '@gearhold/signals';

export interface SignalColumn {
  readonly signal: SignalName;
  readonly column: string;
  /** `float8` for real signals, `int2` for whole numbers, `bool` for flags. */
  readonly type: 'float8' | 'int2' | 'bool';
}

export const signalColumns: readonly SignalColumn[] = [
  { signal: 'speedKph', column: 'speed_kph', type: 'float8' },
  { signal: 'gear', column: 'gear', type: 'int2' },
  { signal: 'engineRpm', column: 'engine_rpm', type: 'float8' },
  { signal: 'acceleratorPct', column: 'accelerator_pct', type: 'float8' },
  { signal: 'torquePct', column: 'torque_pct', type: 'float8' },
  { signal: 'parkingBrake', column: 'parking_brake', type: 'bool' },
  { signal: 'serviceBrake', column: 'service_brake', type: 'bool' },
  { signal: 'clutch', column: 'clutch', type: 'bool' },
  { signal: 'suspensionKpa', column: 'suspension_kpa', type: 'float8' },
  { signal: 'suspensionDump', column: 'suspension_dump', type: 'bool' },
  { signal: 'rideHeightMm', column: 'ride_height_mm', type: 'float8' },
  { signal: 'axleLoadKg', column: 'axle_load_kg', type: 'float8' },
  { signal: 'latitude', column: 'latitude', type: 'float8' },
  { signal: 'longitude', column: 'longitude', type: 'float8' },
  { signal: 'headingDeg', column: 'heading_deg', type: 'float8' },
  { signal: 'trailerLinked', column: 'trailer_linked', type: 'bool' },
  { signal: 'driverLoggedIn', column: 'driver_logged_in', type: 'bool' },
  { signal: 'hazardLamps', column: 'hazard_lamps', type: 'bool' },
  { signal: 'headlamps', column: 'headlamps', type: 'bool' },
  { signal: 'driverDoorOpen', column: 'driver_door_open', type: 'bool' },
  { signal: 'ignition', column: 'ignition', type: 'bool' },
];

/** Columns that a later file may change: the driver and the signals. */
export const reportedColumns: readonly string[] = ['driver_id', ...signalColumns.map(({ column }) => column)];
