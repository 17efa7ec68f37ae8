import { reaches } from '@gearhold/policy';
import { signalNames } from '@gearhold/signals';
import { expect, it } from 'vitest';
import { plainSignals, reachWords, signalName } from './words.ts';

it('says every signal in plain words', () => {
  for (const signal of signalNames) expect(signalName(signal)).toMatch(/^[a-z -]+$/);
  expect(plainSignals('hazardLamps and headlamps are not reported, speedKph comes every 5 s')).toBe(
    'hazard lamps and headlamps are not reported, speed comes every 5 s',
  );
});

it('has words for every reach but that of a check that can be shown met and missed', () => {
  expect(reaches.filter((reach) => reachWords[reach] === undefined)).toEqual(['judged']);
});
