/** The checks that a filter offers, in the order of the built-in policy. A test holds them to the policy's own list. */
export const checkNames = [
  'approach-stop',
  'lamps-while-backing',
  'backing-speed',
  'backing-above-idle',
  'suspension-response',
  'contact-speed',
  'repeated-attempts',
  'tug-test-count',
  'gear-hold-pause',
  'load-returned',
  'loaded-drop-surface',
  'parking-brake-set',
  'coupling-dwell',
  'departure-inspection',
  'airbags-restored',
  'load-lost-under-way',
] as const;
