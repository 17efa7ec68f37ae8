import { expect, it } from 'vitest';
import { anomaliesAsked, filtersOf, unjudgedAsked } from './filters.ts';

it('asks for what is not settled, the gravest first, unless the address says otherwise', () => {
  expect(anomaliesAsked({})).toBe('/v1/anomalies?state=unsettled&sort=gravity&limit=100');
  expect(anomaliesAsked({ state: 'any', site: 'meadow lot', after: 'c1' })).toBe(
    '/v1/anomalies?site=meadow+lot&state=any&sort=gravity&limit=100&cursor=c1',
  );
});

it('passes on nothing that is no filter', () => {
  expect(filtersOf({ site: 'a', after: 'c', other: 'x', check: '' })).toEqual({ site: 'a' });
});

it('asks what could not be judged by the filters that checks know', () => {
  expect(unjudgedAsked({ site: 'a', state: 'open', concern: 'yard' })).toBe(
    '/v1/checks?outcome=undetermined&limit=1000&site=a',
  );
});
