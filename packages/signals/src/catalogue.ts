/**
 * The signal catalogue: every signal a reading may carry, in one table.
 *
 * Units and ranges are those of the analysis contract; a value outside its range is not reported. `spn` is the SAE J1939
 * suspect parameter number that carries the signal on a truck's bus, where there is one; its number, range and resolution
 * were read from open extracts of the J1939 digital annex, and `null` means that no open source names one. Inclusive
 * ranges, both ends.
 */

export interface SignalDefinition {
  readonly name: string;
  /** Usual unit symbol; `1` for a plain number, `0/1` for a two-state signal. */
  readonly unit: string;
  /** Smallest and largest value taken as reported, both inclusive, in `unit`. */
  readonly min: number;
  readonly max: number;
  /** `real` any number in range, `integer` whole numbers only, `flag` 0 or 1. */
  readonly type: 'real' | 'integer' | 'flag';
  /** SAE J1939 SPN, or null where no single one carries it. */
  readonly spn: number | null;
  readonly meaning: string;
}

export const catalogue = [
  {
    name: 'speedKph',
    unit: 'km/h',
    min: 0,
    max: 250.996,
    type: 'real',
    spn: 84,
    meaning: 'wheel-based vehicle speed, unsigned',
  },
  {
    name: 'gear',
    unit: '1',
    min: -125,
    max: 125,
    type: 'integer',
    spn: 523,
    meaning: 'engaged gear: negative reverse, 0 neutral or park, positive forward',
  },
  { name: 'engineRpm', unit: 'r/min', min: 0, max: 8031.875, type: 'real', spn: 190, meaning: 'engine speed' },
  { name: 'acceleratorPct', unit: '%', min: 0, max: 100, type: 'real', spn: 91, meaning: 'accelerator pedal position' },
  {
    name: 'torquePct',
    unit: '%',
    min: -125,
    max: 125,
    type: 'real',
    spn: 513,
    meaning: 'actual engine torque as a share of reference torque',
  },
  { name: 'parkingBrake', unit: '0/1', min: 0, max: 1, type: 'flag', spn: 70, meaning: '1 = parking brake set' },
  { name: 'serviceBrake', unit: '0/1', min: 0, max: 1, type: 'flag', spn: 597, meaning: '1 = brake pedal pressed' },
  { name: 'clutch', unit: '0/1', min: 0, max: 1, type: 'flag', spn: 598, meaning: '1 = clutch pedal pressed' },
  {
    name: 'suspensionKpa',
    unit: 'kPa',
    min: 0,
    max: 6425.5,
    type: 'real',
    spn: 1728,
    meaning: 'drive-axle air-spring pressure, gauge',
  },
  {
    name: 'suspensionDump',
    unit: '0/1',
    min: 0,
    max: 1,
    type: 'flag',
    spn: 1741,
    meaning: '1 = the driver has commanded the drive-axle air springs to exhaust',
  },
  {
    name: 'rideHeightMm',
    unit: 'mm',
    min: -3200,
    max: 3225.5,
    type: 'real',
    spn: 1723,
    meaning: 'drive-axle height relative to normal ride height',
  },
  {
    name: 'axleLoadKg',
    unit: 'kg',
    min: 0,
    max: 128510,
    type: 'real',
    spn: 409,
    meaning: 'load on the drive axle or axles',
  },
  { name: 'latitude', unit: 'deg', min: -90, max: 90, type: 'real', spn: 584, meaning: 'WGS 84 latitude' },
  { name: 'longitude', unit: 'deg', min: -180, max: 180, type: 'real', spn: 585, meaning: 'WGS 84 longitude' },
  {
    name: 'headingDeg',
    unit: 'deg',
    min: 0,
    max: 360,
    type: 'real',
    spn: 165,
    meaning: 'heading clockwise from north',
  },
  {
    name: 'trailerLinked',
    unit: '0/1',
    min: 0,
    max: 1,
    type: 'flag',
    spn: null,
    meaning: "1 = the trailer's electrical connection answers; 0 proves nothing",
  },
  { name: 'driverLoggedIn', unit: '0/1', min: 0, max: 1, type: 'flag', spn: null, meaning: '0 = nobody is signed in' },
  { name: 'hazardLamps', unit: '0/1', min: 0, max: 1, type: 'flag', spn: 2875, meaning: '1 = hazard lamps on' },
  { name: 'headlamps', unit: '0/1', min: 0, max: 1, type: 'flag', spn: 2872, meaning: '1 = headlamps on' },
  { name: 'driverDoorOpen', unit: '0/1', min: 0, max: 1, type: 'flag', spn: 7723, meaning: "1 = driver's door open" },
  { name: 'ignition', unit: '0/1', min: 0, max: 1, type: 'flag', spn: 10145, meaning: '1 = ignition on' },
] as const satisfies readonly SignalDefinition[];

export type SignalName = (typeof catalogue)[number]['name'];

/** How many signals a reading may carry: the stride of {@link ReadingBatch.values}. */
export const signalCount = catalogue.length;

/** Place of a signal within a row of values. */
export const signalIndex = Object.fromEntries(catalogue.map((s, i) => [s.name, i])) as Readonly<
  Record<SignalName, number>
>;

export const signalNames: readonly SignalName[] = catalogue.map((s) => s.name);

/** Range and type of a signal, widened from the literal table. */
export function signalDefinition(name: SignalName): SignalDefinition {
  return catalogue[signalIndex[name]];
}
