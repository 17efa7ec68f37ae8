import { describe, expect, it } from 'vitest';
import { type Coupling, type Episode, FleetTracker, type Uncoupling } from './index.ts';
import { couple, Drive, dumpAndLeave, type Row, road, rolling, stand, uncouple } from './testing/drive.ts';

function track(rows: readonly Row[], vehicleId = 'T-1'): Episode[] {
  const found: Episode[] = [];
  const fleet = new FleetTracker({ onEpisode: (episode) => found.push(episode) });
  for (const row of rows) fleet.accept(vehicleId, row.timeMs, row.driverId, row.values, 0);
  fleet.finish();
  return found;
}

describe('the tracker', () => {
  it('finds a coupling with its milestones in order', () => {
    const drive = road(new Drive(), 60);
    const found = track(road(couple(drive, 60, 160), 160).rows);
    expect(found.map((e) => e.kind)).toEqual(['coupling']);
    const episode = found[0] as Coupling;
    expect(episode.levelBefore).toBeCloseTo(60, 0);
    expect(episode.levelAfter).toBeCloseTo(160, 0);
    expect(episode.driverId).toBe('D-1');
    expect(episode.driverBasis).toBe('reported');
    const m = episode.milestones;
    const order = [m.approachTime, m.contactTime, m.seatedTime, m.tugTestTimes[0], m.departureTime].map((i) => i!.best);
    expect(order).toEqual([...order].sort((a, b) => a - b));
  });

  it('follows a truck out of the yard with what it took, until it is on a trip', () => {
    const drive = couple(road(new Drive(), 60), 60, 160);
    drive.for(50, { ...rolling, speedKph: 15, gear: 3, suspensionKpa: 160 });
    const [episode] = track(road(drive, 160).rows);
    const speeds = (episode as Coupling).evidence.track.column('speedKph')!;
    expect(Math.max(...speeds)).toBe(60);
  });

  it('follows it for no more than two minutes', () => {
    const drive = couple(road(new Drive(), 60), 60, 160);
    drive.for(200, { ...rolling, speedKph: 15, gear: 3, suspensionKpa: 160 });
    const [episode] = track(road(drive, 160).rows);
    const { track: rows } = (episode as Coupling).evidence;
    expect((rows.timesMs.at(-1)! - (episode as Coupling).milestones.departureTime!.best) / 1000).toBeLessThan(130);
    expect(Math.max(...rows.column('speedKph')!.slice(-30))).toBe(15);
  });

  it('finds an uncoupling without a dump and the pause under the nose', () => {
    const drive = couple(road(new Drive(), 60), 60, 160);
    const found = track(road(uncouple(road(drive, 160), 160, 60, 40), 60).rows);
    expect(found.map((e) => e.kind)).toEqual(['coupling', 'uncoupling']);
    const { milestones: m, suspensionDumped } = found[1] as Uncoupling;
    expect(suspensionDumped).toBe(false);
    expect((m.holdEndTime!.best - m.holdStartTime!.best) / 1000).toBeGreaterThan(37);
    expect((m.holdEndTime!.best - m.holdStartTime!.best) / 1000).toBeLessThan(43);
    expect(m.dumpTime).toBeNull();
  });

  it('finds an uncoupling after a dump and places the dump before the pull', () => {
    const drive = couple(road(new Drive(), 60), 60, 420);
    const found = track(road(dumpAndLeave(road(drive, 420), 420, 60, 12), 60).rows);
    expect(found.map((e) => e.kind)).toEqual(['coupling', 'uncoupling']);
    const { milestones: m, suspensionDumped } = found[1] as Uncoupling;
    expect(suspensionDumped).toBe(true);
    const seconds = (m.pullOutTime!.best - m.dumpTime!.best) / 1000;
    expect(seconds).toBeGreaterThan(11);
    expect(seconds).toBeLessThan(20);
  });

  it('says nothing of a dock that loads in steps at standstill', () => {
    const drive = road(couple(road(new Drive(), 60), 60, 160), 160);
    stand(drive, 160, 120);
    for (let step = 1; step <= 10; step++) stand(drive, 160 + step * 26, 60);
    expect(track(road(drive, 420).rows).map((e) => e.kind)).toEqual(['coupling']);
  });

  it('says nothing of a driver who kneels and rises again', () => {
    const drive = road(couple(road(new Drive(), 60), 60, 160), 160);
    stand(drive, (s) => 160 * Math.exp(-6 * s), 10);
    stand(drive, 0, 600);
    stand(drive, (s) => 160 * (1 - Math.exp(-6 * s)), 30);
    expect(track(road(drive, 160).rows).map((e) => e.kind)).toEqual(['coupling']);
  });

  it('says nothing of a lift axle that goes up in reverse gear and down on the way', () => {
    const drive = road(couple(road(new Drive(), 60), 60, 300), 300);
    for (let shunt = 0; shunt < 3; shunt++) {
      drive.for(12, { ...rolling, speedKph: 4, gear: -1, suspensionKpa: 390 });
      stand(drive, 390, 40);
      drive.for(20, { ...rolling, speedKph: 7, gear: 1, suspensionKpa: (s) => (s < 0.2 ? 390 : 300) });
    }
    expect(track(road(drive, 300).rows).map((e) => e.kind)).toEqual(['coupling']);
  });

  it('says nothing of springs that were emptied at a dock and filled again, the trailer lighter, before it drove off', () => {
    const drive = road(couple(road(new Drive(), 60), 60, 400), 400);
    stand(drive, (s) => 400 * Math.exp(-6 * s), 10);
    stand(drive, 0, 300);
    stand(drive, (s) => 190 * (1 - Math.exp(-6 * s)), 30);
    stand(drive, 190, 60);
    expect(track(road(drive, 190).rows).map((e) => e.kind)).toEqual(['coupling']);
  });

  it('places the transfer by the load that stays on, not by a try before it', () => {
    const drive = road(new Drive(), 60);
    stand(drive, 60, 20);
    drive.for(10, { ...rolling, speedKph: 3, gear: -1, suspensionKpa: (s) => (s > 0.8 ? 60 + 500 * (s - 0.8) : 60) });
    stand(drive, 200, 8);
    drive.for(10, { ...rolling, speedKph: 3, gear: 1, suspensionKpa: (s) => Math.max(60, 200 - 500 * s) });
    const againMs = drive.timeMs;
    const found = track(road(couple(drive, 60, 300), 300).rows).filter((e) => e.kind === 'coupling');
    expect(found).toHaveLength(1);
    expect(found[0]!.loadTransferTime.best).toBeGreaterThan(againMs);
  });

  it('loses no load where no trailer was on', () => {
    const drive = uncouple(road(couple(road(new Drive(), 60), 60, 300), 300), 300, 60, 40);
    const found = track(road(road(road(drive, 60, 300), 95, 60), 60, 300).rows);
    expect(found.map((e) => e.kind)).toEqual(['coupling', 'uncoupling']);
  });

  it('says nothing of a level that is another from one second to the next: the sensor was replaced', () => {
    const drive = stand(road(new Drive(), 180), 180, 60);
    drive.for(40, {
      ...rolling,
      speedKph: (s) => Math.min(8, 40 * s),
      gear: 1,
      suspensionKpa: (s) => (s < 0.02 ? 180 : 120),
    });
    expect(track(road(drive, 120).rows)).toEqual([]);
  });

  it('counts a sensor that was replaced, and one that stuck', () => {
    const fleet = new FleetTracker({ onEpisode: () => {} });
    const drive = new Drive();
    for (const offset of [0, 0, 0, 45, 45, 45, 45]) {
      couple(road(drive, 60 + offset), 60 + offset, 300 + offset);
      uncouple(road(drive, 300 + offset), 300 + offset, 60 + offset, 40);
    }
    const shaken = { ...rolling, speedKph: 60, gear: 8 };
    drive.for(200, { ...shaken, suspensionKpa: (s) => 100 + (Math.round(s * 200) % 5) });
    drive.for(120, { ...shaken, suspensionKpa: 324 });
    for (const row of drive.rows) fleet.accept('T-1', row.timeMs, row.driverId, row.values, 0);
    fleet.finish();
    expect(fleet.oddities.restarts).toBeGreaterThanOrEqual(1);
    expect(fleet.oddities.stuck).toBe(1);
    expect(fleet.oddities.breaks).toBe(0);
  });

  it('is less sure of the time where the load rested half-way for long, and says so in the bounds of its confidence', () => {
    const drive = road(new Drive(), 60);
    stand(drive, 60, 20);
    drive.for(12, { ...rolling, speedKph: 3, gear: -1, suspensionKpa: (s) => (s > 0.8 ? 60 + 600 * (s - 0.8) : 60) });
    stand(drive, 180, 200);
    stand(drive, (s) => 180 + 120 * Math.min(1, 5 * s), 60);
    const rested = track(road(drive, 300).rows)[0]!;
    const plain = track(road(couple(road(new Drive(), 60), 60, 300), 300).rows)[0]!;
    expect(rested.confidence).toBeLessThan(0.8);
    expect(plain.confidence).toBeGreaterThan(rested.confidence);
  });

  it('tells a load that vanishes at road speed as lost, at the speed it vanished at, and never as a trailer left', () => {
    const drive = road(couple(road(new Drive(), 60), 60, 300), 300);
    const found = track(road(drive, 60, 300).rows);
    expect(found.map((e) => e.kind)).toEqual(['coupling', 'load-loss']);
    expect(found[1]!.levelBefore! - found[1]!.levelAfter!).toBeGreaterThan(200);
  });

  it('reports a coupling that the input cuts off before the departure, with the departure left open', () => {
    const drive = couple(road(new Drive(), 60), 60, 160);
    const cut = drive.rows.slice(0, -40);
    const found = track(cut) as Coupling[];
    expect(found).toHaveLength(1);
    expect(found[0]!.milestones.departureTime).toBeNull();
    expect(found[0]!.closed).toBe(false);
  });

  it('does not let a vehicle be told apart by the rows of another in between', () => {
    const a = road(couple(road(new Drive(), 60), 60, 160), 160).rows;
    const b = road(uncouple(road(couple(road(new Drive(), 55), 55, 300), 300), 300, 55, 0), 55).rows;
    const alone = [...track(a, 'A'), ...track(b, 'B')];
    const found: Episode[] = [];
    const fleet = new FleetTracker({ onEpisode: (episode) => found.push(episode) });
    for (let i = 0; i < Math.max(a.length, b.length); i++) {
      for (const [id, rows] of [
        ['A', a],
        ['B', b],
      ] as const) {
        const row = rows[i];
        if (row !== undefined) fleet.accept(id, row.timeMs, row.driverId, row.values, 0);
      }
    }
    fleet.finish();
    const plain = (e: Episode) => [e.vehicleId, e.kind, e.loadTransferTime, e.milestones, e.confidence];
    expect(found.map(plain).sort()).toEqual(alone.map(plain).sort());
  });

  it('keeps what it said of a closed episode when more rows come', () => {
    const drive = couple(road(new Drive(), 60), 60, 160);
    const shorter = track(road(drive, 160, 60).rows);
    const longer = track(uncouple(road(drive, 160), 160, 60, 20).rows);
    expect(longer[0]!.milestones).toEqual(shorter[0]!.milestones);
    expect(longer[0]!.confidence).toBe(shorter[0]!.confidence);
  });
});
