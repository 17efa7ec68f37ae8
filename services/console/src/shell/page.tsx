/** What surrounds every page: the head with the ways to go, and the cautions at the foot. */
import { cautions, type Units } from '@gearhold/look';
import type { ComponentChildren } from 'preact';
import { useSurroundings } from './person.ts';

/** The pages in the head: address and name. */
const places = [
  ['/', 'Morning'],
  ['/trucks', 'Trucks'],
  ['/yards', 'Yards'],
  ['/drivers', 'Drivers'],
  ['/policy', 'Policy'],
  ['/arrivals', 'Arrivals'],
  ['/people', 'People'],
  ['/words', 'Words'],
] as const;

interface Props {
  readonly path: string;
  readonly children: ComponentChildren;
  readonly onUnits: (units: Units) => void;
  readonly onKeys: (keys: boolean) => void;
  readonly onSignOut: () => void;
}

export function Page({ path, children, onUnits, onKeys, onSignOut }: Props) {
  const { person, units, keys } = useSurroundings();
  return (
    <>
      <a class="out" href="#content">
        To the content
      </a>
      <header class="head">
        <b>gearhold</b>
        <nav aria-label="Pages">
          {places.map(([address, name]) => (
            <a key={address} data-inside href={address} aria-current={isAt(path, address) ? 'page' : undefined}>
              {name}
            </a>
          ))}
        </nav>
        <div class="own">
          <span>{person.name}</span>
          <button type="button" class="plain" onClick={() => onUnits(units === 'us' ? 'metric' : 'us')}>
            Units: {units === 'us' ? 'US' : 'metric'}
          </button>
          <button type="button" class="plain" aria-pressed={keys} onClick={() => onKeys(!keys)}>
            Keys: {keys ? 'on' : 'off'}
          </button>
          <button type="button" class="plain" onClick={onSignOut}>
            Sign out
          </button>
        </div>
      </header>
      <main id="content">{children}</main>
      <footer>
        <p>{cautions}</p>
      </footer>
    </>
  );
}

function isAt(path: string, address: string): boolean {
  return address === '/' ? path === '/' : path === address || path.startsWith(`${address}/`);
}
