/** The filters as a person sets them; each change goes into the address at once. */

import { checkNames } from '../page/check-names.ts';
import { checkName } from '../page/names.ts';
import { addressText } from '../shell/address.ts';
import { go } from '../shell/navigation.ts';
import { useSurroundings } from '../shell/person.ts';
import { filtersOf, type Query } from './filters.ts';

type Choice = readonly [value: string, name: string];

const states: readonly Choice[] = [
  ['', 'not settled'],
  ['open', 'open'],
  ['confirmed', 'confirmed'],
  ['with-yard', 'with the yard'],
  ['with-shop', 'with the shop'],
  ['dismissed', 'dismissed'],
  ['closed', 'closed'],
  ['any', 'any'],
];
const concerns: readonly Choice[] = [
  ['', 'anybody'],
  ['driver', 'driver'],
  ['yard', 'yard'],
  ['shop', 'shop'],
  ['unclear', 'unclear'],
];
const urgencies: readonly Choice[] = [
  ['', 'any'],
  ['urgent', 'urgent'],
  ['today', 'today'],
  ['routine', 'routine'],
];

export function FilterForm({ query }: { query: Query }) {
  const { sites } = useSurroundings();
  const filters = filtersOf(query);
  const set = (name: string, value: string) => go(addressText('/', { ...filters, [name]: value.trim() }));
  const yards: Choice[] = [
    ['', 'any'],
    ...[...sites.values()].map((site): Choice => [site.siteId, site.name ?? site.siteId]),
  ];
  const checks: Choice[] = [['', 'any'], ...checkNames.map((check): Choice => [check, checkName(check)])];
  const select = (name: string, label: string, choices: readonly Choice[]) => (
    <label>
      {label}
      <select value={filters[name] ?? ''} onChange={(event) => set(name, event.currentTarget.value)}>
        {choices.map(([value, words]) => (
          <option key={value} value={value}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
  const text = (name: string, label: string) => (
    <label>
      {label}
      <input value={filters[name] ?? ''} maxLength={64} onChange={(event) => set(name, event.currentTarget.value)} />
    </label>
  );
  return (
    <form class="filters" aria-label="Filters" onSubmit={(event) => event.preventDefault()}>
      {select('state', 'State', states)}
      {select('site', 'Site', yards)}
      {select('concern', 'Concern', concerns)}
      {select('urgency', 'Urgency', urgencies)}
      {select('check', 'Check', checks)}
      {text('vehicle', 'Truck')}
      {text('driver', 'Driver')}
      {Object.keys(filters).length > 0 && (
        <a data-inside href="/">
          Without filters
        </a>
      )}
    </form>
  );
}
