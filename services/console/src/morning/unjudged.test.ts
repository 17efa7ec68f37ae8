import { expect, it } from 'vitest';
import type { JudgedCheck } from '../server/messages.ts';
import { gatherUnjudged } from './unjudged.ts';

function unjudged(vehicleId: string, text: string, values: JudgedCheck['reasonParts']['values'] = {}): JudgedCheck {
  return {
    episodeId: `${vehicleId}-${text}`,
    loadTransferTime: '2026-03-02T12:00:00.000Z',
    vehicleId,
    driverId: null,
    siteId: null,
    check: 'contact-speed',
    outcome: 'undetermined',
    measured: null,
    limit: {},
    window: null,
    concern: 'driver',
    urgency: 'routine',
    reason: text,
    reasonParts: { text, values },
  };
}

it('gathers by reason, the most frequent first, each truck once', () => {
  const groups = gatherUnjudged([
    unjudged('T-2', 'no gear'),
    unjudged('T-9', 'speed {v}', { v: { value: 1, unit: 'km/h' } }),
    unjudged('T-1', 'speed {v}', { v: { value: 2, unit: 'km/h' } }),
    unjudged('T-1', 'speed {v}', { v: { value: 3, unit: 'km/h' } }),
  ]);
  expect(groups.map(({ times, vehicleIds }) => [times, vehicleIds])).toEqual([
    [3, ['T-1', 'T-9']],
    [1, ['T-2']],
  ]);
});

it('keeps reasons apart that differ in a word', () => {
  const groups = gatherUnjudged([
    unjudged('T-1', '{s} was not reported', { s: 'gear' }),
    unjudged('T-1', '{s} was not reported', { s: 'clutch' }),
  ]);
  expect(groups).toHaveLength(2);
});
