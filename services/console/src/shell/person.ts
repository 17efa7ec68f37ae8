/** What every page knows: who is signed in, in which units they read, and the places whose names and zones are shown. */
import type { Units } from '@gearhold/look';
import { createContext } from 'preact';
import { useContext } from 'preact/hooks';
import type { Session, Site } from '../server/messages.ts';

export interface Surroundings {
  readonly person: Session['person'];
  readonly units: Units;
  readonly sites: ReadonlyMap<string, Site>;
  /** Whether keys such as j and c act. */
  readonly keys: boolean;
}

const SurroundingsContext = createContext<Surroundings | null>(null);
export const SurroundingsProvider = SurroundingsContext.Provider;

/** Only within a page of somebody who is signed in. */
export function useSurroundings(): Surroundings {
  return useContext(SurroundingsContext)!;
}

export function mayReview({ person }: Surroundings): boolean {
  return person.scopes.includes('review') || person.scopes.includes('administer');
}

const unitsKept = 'gearhold.units';
const keysKept = 'gearhold.keys';

/** As the person chose in this browser; until then by the language that the browser speaks. */
export function keptUnits(): Units {
  const kept = localStorage.getItem(unitsKept);
  if (kept === 'us' || kept === 'metric') return kept;
  return navigator.language === 'en-US' ? 'us' : 'metric';
}

export function keepUnits(units: Units): void {
  localStorage.setItem(unitsKept, units);
}

export function keptKeys(): boolean {
  return localStorage.getItem(keysKept) !== 'off';
}

export function keepKeys(keys: boolean): void {
  localStorage.setItem(keysKept, keys ? 'on' : 'off');
}
