/** Words for what a truck reports and how far a check reaches on it. */

/** What a reach says of a check; one that can be shown met and missed is not listed. */
export const reachWords: Readonly<Record<string, string>> = {
  'never-judged': 'never judged',
  'never-missed': 'never missed',
  'never-met': 'never met',
  'not-asked': 'not asked',
};

const names: Readonly<Record<string, string>> = {
  speedKph: 'speed',
  engineRpm: 'engine speed',
  torquePct: 'engine torque',
  acceleratorPct: 'accelerator',
  suspensionKpa: 'air-spring pressure',
  axleLoadKg: 'axle load',
  rideHeightMm: 'ride height',
  headingDeg: 'heading',
};

/** `parkingBrake` as `parking brake`. */
export function signalName(signal: string): string {
  return names[signal] ?? signal.replace(/([A-Z])/g, (letter) => ` ${letter.toLowerCase()}`);
}

/** A sentence in which signals stand by name, in plain words: `hazardLamps` as `hazard lamps`. */
export function plainSignals(text: string): string {
  return text.replace(/\b[a-z]+(?:[A-Z][a-z]+)+\b/g, signalName);
}
