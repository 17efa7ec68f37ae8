/** What happened on a day, in figures, for the summary of a night. */
import { type Engine, episodesBetween, vehiclesHeard } from '@gearhold/store';
import type { DayWindow } from '../day/window.ts';
import type { DayOutcome } from './outcome.ts';

/** A truck that sent nothing for longer than this is gone rather than silent: sold, parked, renamed. House policy: 14 days. */
const fortnightMs = 14 * 86_400_000;

export async function dayFigures(engine: Engine, window: DayWindow): Promise<Omit<DayOutcome, 'window' | 'digests'>> {
  const span = { fromMs: window.startMs, untilMs: window.endMs };
  const vehicles = await vehiclesHeard(engine, { ...span, sinceMs: window.startMs - fortnightMs });
  const episodes = await episodesBetween(engine, span);
  const checks = episodes.flatMap(({ wire }) => wire.checks);
  return {
    heard: vehicles.filter(({ heard }) => heard).length,
    silent: vehicles.filter(({ heard }) => !heard).map(({ vehicleId }) => vehicleId),
    episodes: episodes.length,
    anomalies: checks.filter(({ outcome }) => outcome === 'missed').length,
  };
}
