import { checkList } from '@gearhold/policy';
import { expect, it } from 'vitest';
import { checkNames } from './check-names.ts';

it('offers every check there is', () => {
  expect([...checkNames].sort()).toEqual(checkList.map(({ name }) => name).sort());
});
