/** `gearhold hold`: what is kept from every pruning, and until when. */

import { printable } from '@gearhold/look';
import { dayWindow, isDay } from '@gearhold/operations/day';
import { withStore } from '@gearhold/operations/store-place';
import { type ExitStatus, exitStatus, Failure } from '@gearhold/shared';
import { activeHolds, allHolds, type Hold, placeHold, releaseHold } from '@gearhold/store';
import type { Io } from '../job.ts';

export interface HoldAddOptions {
  readonly store: string;
  readonly vehicle?: string;
  readonly driver?: string;
  /** A day, or an RFC 3339 time; checked already. */
  readonly since?: string;
  readonly until?: string;
  readonly zone: string;
  readonly reason: string;
}

export async function holdAddCommand(options: HoldAddOptions, io: Io): Promise<ExitStatus> {
  const { vehicle, driver, since, until, zone, reason } = options;
  if (vehicle === undefined && driver === undefined && since === undefined && until === undefined) {
    const sentence = 'a hold has to say what it keeps: expected at least one of --vehicle, --driver, --since, --until.';
    throw new Failure(exitStatus.usage, sentence);
  }
  const startOf = (text: string) => (isDay(text) ? dayWindow(text, zone).startMs : Date.parse(text));
  const endOf = (text: string) => (isDay(text) ? dayWindow(text, zone).endMs : Date.parse(text));
  const scope = {
    vehicleId: vehicle ?? null,
    driverId: driver ?? null,
    fromMs: since === undefined ? Number.NEGATIVE_INFINITY : startOf(since),
    untilMs: until === undefined ? Number.POSITIVE_INFINITY : endOf(until),
  };
  if (scope.fromMs >= scope.untilMs)
    throw new Failure(exitStatus.usage, `--until ${until} is not after --since ${since}: expected a later one.`);
  return withHolds(options.store, async (engine) => {
    const holdId = await placeHold(engine, scope, reason, Date.now());
    const hold = (await activeHolds(engine)).find((one) => one.holdId === holdId)!;
    io.stdout.write(`${holdLine(hold)}\n`);
  });
}

export async function holdReleaseCommand(
  holdId: number,
  options: { readonly store: string },
  io: Io,
): Promise<ExitStatus> {
  return withHolds(options.store, async (engine) => {
    if (!(await releaseHold(engine, holdId, Date.now()))) {
      const sentence = `there is no hold ${holdId} that holds: gearhold hold list shows those that do.`;
      throw new Failure(exitStatus.usage, sentence);
    }
    io.stdout.write(`hold ${holdId} is released: what it alone kept goes with the next pruning\n`);
  });
}

export async function holdListCommand(
  options: { readonly store: string; readonly all: boolean },
  io: Io,
): Promise<ExitStatus> {
  return withHolds(options.store, async (engine) => {
    const holds = await (options.all ? allHolds : activeHolds)(engine);
    const lines = holds.length === 0 ? ['nothing is held; gearhold hold add --help says how'] : holds.map(holdLine);
    io.stdout.write(`${lines.join('\n')}\n`);
  });
}

type Engine = Parameters<Parameters<typeof withStore>[2]>[0];

async function withHolds(store: string, work: (engine: Engine) => Promise<void>): Promise<ExitStatus> {
  await withStore({ databaseUrl: process.env.DATABASE_URL, folder: store }, Date.now(), work);
  return exitStatus.done;
}

/** `hold 3: vehicle T-104, from 2026-03-02T06:00:00.000Z; claim 17` */
function holdLine({ holdId, vehicleId, driverId, fromMs, untilMs, reason, releasedMs }: Hold): string {
  const parts = [
    ...(vehicleId === null ? [] : [`vehicle ${printable(vehicleId, 64)}`]),
    ...(driverId === null ? [] : [`driver ${printable(driverId, 64)}`]),
    ...(Number.isFinite(fromMs) ? [`from ${new Date(fromMs).toISOString()}`] : []),
    ...(Number.isFinite(untilMs) ? [`until ${new Date(untilMs).toISOString()}`] : []),
  ];
  const released = releasedMs === null ? '' : ` (released ${new Date(releasedMs).toISOString()})`;
  return `hold ${holdId}: ${parts.join(', ')}; ${printable(reason, 400)}${released}`;
}
