/** An invented day, for the tests of the digest: two yards of two terminals, and what is asked for in a test. */
import type { WireCheck, WireEpisode } from '@gearhold/policy';
import type { Recipient } from '@gearhold/schemas';
import { dayWindow } from '../../day/window.ts';
import type { DayFacts, EpisodeFact, TruckFact } from '../facts.ts';

export const window = dayWindow('2026-03-02', 'America/Chicago');

export function check(change: Partial<WireCheck> = {}): WireCheck {
  return {
    check: 'gear-hold-pause',
    outcome: 'missed',
    measured: { value: 0, low: 0, high: 2, unit: 's' },
    limit: { minSeconds: 30, dumpedPause: 'either', underMetres: 2, clearMetres: 3 },
    window: null,
    concern: 'driver',
    urgency: 'routine',
    reason: 'the trailer was left after a pause of 0 s; 30 s is asked.',
    reasonParts: {
      text: 'the trailer was left after a pause of {pause}; {asked} is asked.',
      values: { pause: { value: 0, unit: 's' }, asked: { value: 30, unit: 's' } },
    },
    ...change,
  };
}

/** A check that says only why it could not be judged. */
export function unjudged(name: string, why: string): WireCheck {
  const said = `Could not be judged: ${why}.`;
  return check({
    check: name,
    outcome: 'undetermined',
    measured: null,
    reason: said,
    reasonParts: { text: said, values: {} },
  });
}

export function episode(id: string, checks: readonly WireCheck[], change: Partial<WireEpisode> = {}): WireEpisode {
  return {
    episodeId: id,
    kind: 'uncoupling',
    vehicleId: 'T-104',
    driverId: 'D-31',
    driverBasis: 'reported',
    startTime: '2026-03-02T14:00:00.000Z',
    loadTransferTime: '2026-03-02T14:05:00.000Z',
    endTime: '2026-03-02T14:20:00.000Z',
    position: null,
    siteId: 'cairn-depot',
    pressureBeforeKpa: 171,
    pressureAfterKpa: 62,
    trailerLoad: 'loaded',
    suspensionDumped: false,
    milestones: {},
    milestoneBounds: {},
    confidence: 0.98,
    checks,
    ...change,
  };
}

export function fact(
  wire: WireEpisode,
  terminal: string | null = 'cairn',
  driverTerminal: string | null = null,
): EpisodeFact {
  return { wire, terminal, driverTerminal };
}

export function truck(vehicleId: string, change: Partial<TruckFact> = {}): TruckFact {
  return {
    vehicleId,
    terminal: 'cairn',
    heard: true,
    loadReported: true,
    steelSprings: false,
    lastReadingMs: window.endMs - 1000,
    ...change,
  };
}

export function day(change: Partial<DayFacts> = {}): DayFacts {
  return {
    window,
    episodes: [],
    arrivedLate: new Set(),
    trucks: [truck('T-104')],
    sites: [
      { siteId: 'cairn-depot', name: 'Three Cairns depot', terminal: 'cairn', zone: 'America/Denver' },
      { siteId: 'larch-works', name: 'Larchwater works', terminal: 'larch' },
    ] as DayFacts['sites'],
    driverNames: new Map([['D-31', 'Ines Vauterin']]),
    ...change,
  };
}

export function recipient(change: Partial<Recipient> = {}): Recipient {
  return {
    address: 'safety@example.org',
    terminals: 'all',
    concerns: 'all',
    drivers: 'ids',
    units: 'metric',
    ...change,
  };
}

/** Nothing came to light of earlier days. */
export const nothingEarlier = { found: [], takenBack: [] };
