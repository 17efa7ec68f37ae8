/**
 * Makes an episode of a finding: milestones, driver, position, levels, and a copy of the rows that prove it.
 */
import { interval } from '../bounds/interval.ts';
import type { Episode, EpisodeBase, TrailerLoad } from '../episode.ts';
import type { Evidence, Learned, Track } from '../evidence.ts';
import type { AttemptFinding } from './attempts.ts';
import { couplingMilestones } from './coupling.ts';
import type { DriverLog } from './driver-log.ts';
import type { Finding } from './resolve.ts';
import type { Scene } from './scene.ts';
import { uncouplingParts } from './uncoupling.ts';

export interface AssemblyInputs {
  readonly scene: Scene;
  readonly finding: Finding | AttemptFinding;
  readonly vehicleId: string;
  readonly learned: Learned;
  readonly drivers: DriverLog;
  readonly copy: (fromRow: number, toRow: number) => Track;
  readonly rowAt: (timeMs: number) => number;
}

/** Rows kept before the start and after the end of an episode, ms: a person wants to see what led to it. */
const marginBeforeMs = 240_000;
const marginAfterMs = 120_000;

export function assemble(inputs: AssemblyInputs): Episode | null {
  const { scene, finding } = inputs;
  if (finding.kind === 'uncoupling') {
    const parts = uncouplingParts(scene, finding.transfer, finding.fall, inputs.learned.blindSpeedKph);
    const m = parts.milestones;
    const start = m.standTime ?? m.dumpTime ?? m.pullOutTime ?? parts.time;
    const base = common(inputs, {
      startMs: start.best,
      endMs: m.clearTime?.best ?? null,
      actedMs: m.pullOutTime?.best ?? parts.time.best,
      time: parts.time,
      dumped: parts.dumped,
      coupledLevel: finding.transfer.from,
      bobtailLevel: inputs.learned.bobtail ?? finding.transfer.to,
    });
    return { kind: 'uncoupling', ...base, milestones: m };
  }
  if (finding.kind === 'load-loss') {
    const { time, onset, from, to } = finding.transfer;
    const particulars = { startMs: onset.best, endMs: time.high, actedMs: time.best, time, dumped: null };
    const base = common(inputs, { ...particulars, coupledLevel: from, bobtailLevel: inputs.learned.bobtail ?? to });
    return { kind: 'load-loss', ...base, milestones: {} };
  }
  const milestones = couplingMilestones(scene, finding.transfer, finding.backing);
  const start = milestones.approachTime ?? milestones.contactTime ?? finding.transfer.time;
  const base = common(inputs, {
    startMs: start.best,
    endMs: milestones.departureTime?.best ?? null,
    actedMs: milestones.seatedTime?.best ?? finding.transfer.time.best,
    time: finding.transfer.time,
    dumped: dumpedToBack(scene, finding),
    coupledLevel: finding.transfer.to,
    bobtailLevel: finding.transfer.from,
  });
  return { kind: finding.kind, ...base, milestones };
}

interface Particulars {
  readonly startMs: number;
  readonly endMs: number | null;
  readonly actedMs: number;
  readonly time: EpisodeBase['loadTransferTime'];
  readonly dumped: boolean | null;
  readonly coupledLevel: number;
  readonly bobtailLevel: number;
}

function common(inputs: AssemblyInputs, p: Particulars): EpisodeBase {
  const { scene, finding, learned } = inputs;
  const { track } = scene;
  const lastMs = track.timesMs[track.length - 1];
  const endTime = p.endMs ?? lastMs;
  const fromRow = inputs.rowAt(Math.min(p.startMs, p.time.low) - marginBeforeMs);
  const toRow = Math.min(track.length, inputs.rowAt(endTime + marginAfterMs) + 1);
  const { driverId, driverBasis } = inputs.drivers.at(p.actedMs, p.startMs, endTime);
  return {
    vehicleId: inputs.vehicleId,
    driverId,
    driverBasis,
    startTime: Math.min(p.startMs, p.time.best),
    loadTransferTime: p.time,
    endTime: Math.max(endTime, p.time.best),
    closed: p.endMs !== null,
    position: positionAt(track, inputs.rowAt(p.time.best)),
    loadSignal: scene.signal,
    levelBefore: finding.transfer.from,
    levelAfter: finding.transfer.to,
    trailerLoad: loadOf(p.coupledLevel, p.bobtailLevel, learned.loaded),
    suspensionDumped: p.dumped,
    confidence: finding.weighed.confidence,
    evidence: evidenceOf(inputs, fromRow, toRow),
  };
}

function evidenceOf(inputs: AssemblyInputs, fromRow: number, toRow: number): Evidence {
  const { scene } = inputs;
  const track = inputs.copy(fromRow, toRow);
  const firstMs = track.timesMs[0];
  const lastMs = track.timesMs[track.length - 1];
  const within = (ms: number) => Math.min(lastMs, Math.max(firstMs, ms));
  const cut = (i: { low: number; high: number; best: number }) =>
    interval(within(i.low), within(i.high), within(i.best));
  const runs = scene.runs
    .filter((run) => run.lastRow >= fromRow && run.firstRow < toRow)
    .map((run) => ({
      ...run,
      start: cut(run.start),
      end: cut(run.end),
      firstRow: Math.max(0, run.firstRow - fromRow),
      lastRow: Math.min(toRow - fromRow - 1, run.lastRow - fromRow),
    }));
  return { track, runs, learned: inputs.learned, cadence: scene.cadence };
}

/** Share of a full kingpin load; unknown until the truck's full level is stated or learned (contract). */
function loadOf(coupled: number, bobtail: number, loaded: number | null): TrailerLoad {
  if (loaded === null || loaded <= bobtail) return 'unknown';
  const share = (coupled - bobtail) / (loaded - bobtail);
  return share < 0.4 ? 'empty' : share > 0.7 ? 'loaded' : 'part';
}

/** Whether the springs were empty while backing under: far below the level that the tractor came with. */
function dumpedToBack(
  scene: Scene,
  finding: Exclude<AssemblyInputs['finding'], { kind: 'uncoupling' | 'load-loss' }>,
): boolean | null {
  const { backing, transfer } = finding;
  if (backing === null || scene.vehicle?.airDump === false) return scene.vehicle?.airDump === false ? false : null;
  const flag = scene.track.column('suspensionDump');
  const times = scene.track.timesMs;
  if (flag !== null) {
    for (let row = 0; row < scene.track.length; row++) {
      if (times[row] > backing.end.high) break;
      if (times[row] >= backing.start.low && flag[row] === 1) return true;
    }
  }
  const during = scene.series.window(
    backing.start.low,
    Math.max(backing.start.high, Math.min(backing.end.high, transfer.onset.low)),
  );
  if (during.count === 0) return null;
  const reference = scene.levels.bobtail ?? transfer.from;
  const below = reference - during.level;
  const margin = Math.max(scene.tolerance.sample, 0.35 * scene.sprung(reference));
  if (below > margin) return true;
  return below < 0.6 * margin ? false : null;
}

function positionAt(track: Track, row: number): EpisodeBase['position'] {
  const latitude = track.column('latitude');
  const longitude = track.column('longitude');
  if (latitude === null || longitude === null) return null;
  for (let step = 0; step < track.length; step++) {
    for (const r of [row - step, row + step]) {
      if (r >= 0 && r < track.length && !Number.isNaN(latitude[r]) && !Number.isNaN(longitude[r])) {
        return { latitude: latitude[r], longitude: longitude[r] };
      }
    }
  }
  return null;
}
