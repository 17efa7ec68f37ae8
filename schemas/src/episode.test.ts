import type { Uncoupling } from '@gearhold/episodes';
import { builtInPolicy, judge } from '@gearhold/policy';
import { expect, it } from 'vitest';
import { z } from 'zod';
import { episodeSchema } from './episode.ts';

const from = Date.UTC(2026, 2, 2, 6);
const exactly = (seconds: number) => ({
  low: from + seconds * 1000,
  high: from + seconds * 1000,
  best: from + seconds * 1000,
});

/** Ten rows at 1 Hz of a truck that drives off: enough for every check to say something. */
function uncoupling(): Uncoupling {
  const timesMs = Float64Array.from({ length: 10 }, (_, i) => from + i * 1000);
  const speed = Float64Array.from({ length: 10 }, (_, i) => (i < 3 ? 0 : 4 * i));
  return {
    kind: 'uncoupling',
    vehicleId: 'T-1',
    driverId: null,
    driverBasis: 'unknown',
    startTime: from,
    loadTransferTime: exactly(4),
    endTime: from + 9000,
    closed: true,
    position: { latitude: 41.1, longitude: -95.9 },
    loadSignal: 'suspensionKpa',
    levelBefore: 171,
    levelAfter: 62,
    trailerLoad: 'unknown',
    suspensionDumped: null,
    milestones: {
      standTime: exactly(0),
      dumpTime: null,
      pullOutTime: exactly(3),
      releaseTime: exactly(4),
      holdStartTime: null,
      holdEndTime: null,
      clearTime: exactly(8),
    },
    confidence: 0.98,
    evidence: {
      track: { length: 10, timesMs, column: (signal) => (signal === 'speedKph' ? speed : null) },
      runs: [],
      learned: {
        bobtail: 62,
        empty: 171,
        loaded: null,
        noise: 1,
        step: 0.5,
        blindSpeedKph: 2,
        releasedPedalPct: null,
        idleRpm: null,
      },
      cadence: () => ({ mode: 'periodic', usualMs: 1000 }),
    },
  };
}

it('takes what the policy room judges, and knows every field of it', () => {
  const wire = judge(uncoupling(), builtInPolicy, { site: null, vehicle: null });
  expect(episodeSchema.parse(JSON.parse(JSON.stringify(wire)))).toEqual(wire);
  expect(Object.keys(wire).filter((key) => !(key in episodeSchema.shape))).toEqual([]);
  const known = episodeSchema.shape.checks.element.shape;
  expect(wire.checks.flatMap((check) => Object.keys(check)).filter((key) => !(key in known))).toEqual([]);
});

it('lets fields, kinds and checks through that it does not know', () => {
  const wire = judge(uncoupling(), builtInPolicy, { site: null, vehicle: null });
  const later = {
    ...wire,
    kind: 'something-new',
    weather: 'dry',
    checks: [{ ...wire.checks[0], check: 'new', grade: 3 }],
  };
  expect(episodeSchema.parse(later)).toEqual(later);
});

it('refuses a time without milliseconds and a confidence above 1', () => {
  const wire = judge(uncoupling(), builtInPolicy, { site: null, vehicle: null });
  expect(episodeSchema.safeParse({ ...wire, startTime: '2026-03-02T06:00:00Z' }).success).toBe(false);
  expect(episodeSchema.safeParse({ ...wire, confidence: 1.2 }).success).toBe(false);
});

it('describes further fields as allowed', () => {
  expect(z.toJSONSchema(episodeSchema)).toMatchObject({ additionalProperties: {} });
});
