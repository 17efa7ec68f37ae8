import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type SignalName, signalCount, signalDefinition, signalIndex, signalNames } from '../catalogue.ts';
import { type InputFormat, readReadings } from '../intake/read.ts';
import { IntakeReport, type Reject } from '../intake/report.ts';
import { convert, unitsOf } from '../units.ts';
import { mappingOf } from './mapping.ts';
import { type SourceProfileInput, sourceProfileSchema } from './schema.ts';

const narrow: SourceProfileInput = {
  name: 'yard feed',
  layout: 'narrow',
  delimiter: ';',
  decimal: '.',
  notReported: ['', 'n/a'],
  time: { column: 'Stamp', format: 'yyyy-MM-dd HH:mm:ss.SSS', zone: 'America/Chicago', ambiguous: 'reject' },
  vehicleId: { column: 'Unit' },
  driverId: { column: 'Operator' },
  signal: { column: 'Channel' },
  value: { column: 'Reading' },
  signals: {
    suspensionKpa: { from: 'AIRSPRING', unit: 'psi' },
    speedKph: { from: 'ROADSPEED', unit: 'mph' },
    gear: { from: 'GEARNO', codes: { '251': 0 } },
    parkingBrake: { from: 'PBRAKE', codes: { SET: 1, OFF: 0 } },
  },
};

const wide: SourceProfileInput = {
  layout: 'wide',
  delimiter: ';',
  decimal: ',',
  notReported: ['-', '65535'],
  time: { column: 't', format: 'epochSeconds' },
  vehicleId: { column: 'truck' },
  driverId: { column: 'who' },
  signals: {
    suspensionKpa: { from: 'p', unit: 'bar' },
    gear: { from: 'g', codes: { R: -1, N: 0 } },
    ignition: { from: 'state', codes: { drive: 1, off: 0 } },
    parkingBrake: { from: 'state', codes: { drive: 0, parked: 1 } },
  },
};

async function read(profile: SourceProfileInput, text: string, format: InputFormat = 'csv') {
  const report = new IntakeReport();
  const rejects: Reject[] = [];
  async function* bytes() {
    yield Buffer.from(text);
  }
  const rows: {
    vehicleId: string;
    driverId: string | null;
    timeMs: number;
    values: Partial<Record<SignalName, number>>;
  }[] = [];
  const mapping = mappingOf(sourceProfileSchema.parse(profile));
  const onReject = (reject: Reject) => rejects.push(reject);
  for await (const b of readReadings(bytes(), { format, fileIndex: 0, fileName: 'x', report, mapping, onReject })) {
    for (let r = 0; r < b.length; r++) {
      const values: Partial<Record<SignalName, number>> = {};
      for (const name of signalNames) {
        const value = b.values[r * signalCount + signalIndex[name]]!;
        if (!Number.isNaN(value)) values[name] = value;
      }
      rows.push({ vehicleId: b.vehicleIds[r]!, driverId: b.driverIds[r]!, timeMs: b.timesMs[r]!, values });
    }
  }
  return { rows, report, rejects };
}

const faults = (change: (profile: Record<string, unknown>) => void, base: SourceProfileInput = narrow) => {
  const profile = structuredClone(base) as Record<string, unknown>;
  change(profile);
  const result = sourceProfileSchema.safeParse(profile);
  return result.success ? [] : result.error.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`);
};

describe('a narrow profile', () => {
  const text = [
    'Stamp;Unit;Operator;Channel;Reading',
    '2026-03-02 00:11:40.250;104;D-7;AIRSPRING;10.5',
    '2026-03-02 00:11:40.250;104;;ROADSPEED;1',
    '2026-03-02 00:11:41.000;104;n/a;GEARNO;251',
    '2026-03-02 00:11:42.000;104;;PBRAKE;SET',
    '2026-03-02 00:11:43.000;104;;PBRAKE;n/a',
    '2026-03-02 00:11:44.000;104;;PBRAKE;MAYBE',
    '2026-03-02 00:11:45.000;104;;DOORS;3',
    '2026-03-08 02:30:00.000;104;;GEARNO;1',
    '2026-11-01 01:30:00.000;104;;GEARNO;1',
    '2026-03-02 00:11:46;104;;GEARNO;1',
  ].join('\n');

  it('makes a reading of one signal of each row, a heartbeat where nothing usable came', async () => {
    const { rows, report, rejects } = await read(narrow, text);
    expect(rows.map((r) => r.values)).toEqual([
      { suspensionKpa: convert(10.5, 'psi', 'kPa') },
      { speedKph: 1.609344 },
      { gear: 0 },
      { parkingBrake: 1 },
      {},
      {},
      {},
    ]);
    expect(rows.map((r) => r.driverId)).toEqual(['D-7', null, null, null, null, null, null]);
    expect(rows[0]?.timeMs).toBe(Date.UTC(2026, 2, 2, 6, 11, 40, 250));
    expect(report.unusableBySignal).toEqual({ parkingBrake: 1 });
    expect([...report.unknownChannels]).toEqual(['DOORS']);
    expect(rejects.map((r) => [r.line, r.reason])).toEqual([
      [9, 'time-skipped'],
      [10, 'time-ambiguous'],
      [11, 'time'],
    ]);
  });

  it('may carry the driver as a channel', async () => {
    const { driverId: _, ...rest } = narrow;
    const body =
      'Stamp;Unit;Channel;Reading\n2026-03-02 00:11:40.250;104;WHO;D-9\n2026-03-02 00:11:41.250;104;WHO;n/a\n';
    for (const profile of [
      { ...rest, driverId: { from: 'WHO' } },
      { ...rest, signals: { ...rest.signals, driverId: { from: 'WHO' } } },
    ]) {
      const { rows, report } = await read(profile, body);
      expect(rows.map((r) => r.driverId)).toEqual(['D-9', null]);
      expect([report.unknownChannels.size, report.unusableDriverIds]).toEqual([0, 0]);
    }
  });

  it('says which of its columns is missing', async () => {
    const { rows, report } = await read(narrow, 'Stamp;Unit;Reading\n2026-03-02 00:11:40.250;104;1\n');
    expect([rows.length, report.rejected.columns]).toEqual([0, 1]);
    expect([...report.notices].join()).toContain('"Channel"');
  });

  it('applies to JSON objects alike', async () => {
    const row = { Stamp: '2026-03-02 00:11:40.250', Unit: 104, Operator: 'D-7', Channel: 'AIRSPRING' };
    const lines = [
      { ...row, Reading: 10.5 },
      { ...row, Reading: '10.5' },
      { ...row, Channel: 'GEARNO', Reading: 251 },
    ];
    const { rows } = await read(narrow, lines.map((l) => JSON.stringify(l)).join('\n'), 'ndjson');
    const suspensionKpa = convert(10.5, 'psi', 'kPa');
    expect(rows.map((r) => r.values)).toEqual([{ suspensionKpa }, { suspensionKpa }, { gear: 0 }]);
    expect(rows.map((r) => r.vehicleId)).toEqual(['104', '104', '104']);
  });
});

describe('a wide profile', () => {
  it('reads decimal commas, tokens for nothing, codes before numbers, and two signals of one column', async () => {
    const body = [
      't;truck;who;p;g;state;extra',
      '1772431900,25;A;-;0,62;R;drive;x',
      '1772431901;A;D-1;65535;3;parked;',
      '1772431902;A;;1.5;251;off;',
      '1e99;A;;;;;',
      ';A;;;;;',
    ].join('\r\n');
    const { rows, report } = await read(wide, body);
    expect(rows).toEqual([
      {
        vehicleId: 'A',
        driverId: null,
        timeMs: 1772431900250,
        values: { suspensionKpa: 62, gear: -1, ignition: 1, parkingBrake: 0 },
      },
      { vehicleId: 'A', driverId: 'D-1', timeMs: 1772431901000, values: { gear: 3, parkingBrake: 1 } },
      { vehicleId: 'A', driverId: null, timeMs: 1772431902000, values: { ignition: 0 } },
    ]);
    expect(report.unusableBySignal).toEqual({ suspensionKpa: 1, gear: 1, ignition: 1, parkingBrake: 1 });
    expect(report.rejected.time).toBe(2);
    expect([...report.unknownColumns]).toEqual(['extra']);
  });

  it('reads what a file written in any unit, decimal mark and delimiter meant', async () => {
    const real = signalNames.filter((name) => signalDefinition(name).type === 'real');
    const columns = fc.tuple(...real.map((name) => fc.constantFrom(...unitsOf(name))));
    const values = fc.tuple(
      ...real.map((name) => {
        const { min, max } = signalDefinition(name);
        return fc.integer({ min: 1, max: 999 }).map((n) => min + ((max - min) * n) / 1000);
      }),
    );
    await fc.assert(
      fc.asyncProperty(columns, values, fc.constantFrom('.', ','), async (unitOf, expected, decimal) => {
        const profile: SourceProfileInput = {
          delimiter: ';',
          decimal: decimal as '.' | ',',
          time: { column: 'time', format: 'epochMilliseconds' },
          vehicleId: { column: 'id' },
          signals: Object.fromEntries(real.map((name, i) => [name, { from: `c${i}`, unit: unitOf[i] }])),
        };
        const cells = real.map((name, i) => {
          const own = signalDefinition(name).unit as Parameters<typeof convert>[1];
          return String(convert(expected[i]!, own, unitOf[i]!)).replace('.', decimal);
        });
        const text = `time;id;${real.map((_, i) => `c${i}`).join(';')}\n1772431900250;A;${cells.join(';')}\n`;
        const { rows } = await read(profile, text);
        expect(rows[0]?.timeMs).toBe(1772431900250);
        for (const [i, name] of real.entries()) {
          expect(Math.abs(rows[0]!.values[name]! - expected[i]!)).toBeLessThanOrEqual(Math.abs(expected[i]!) * 1e-14);
        }
      }),
      { numRuns: 60 },
    );
  });
});

describe('sourceProfileSchema', () => {
  it('takes the example of the contract and what is left to defaults', () => {
    expect(sourceProfileSchema.parse(narrow)).toEqual(narrow);
    const least = { time: { column: 't' }, vehicleId: { column: 'v' }, signals: {} };
    expect(sourceProfileSchema.parse(least)).toMatchObject({ layout: 'wide', delimiter: ',', time: { format: 'iso' } });
  });

  it('says the place and what was expected', () => {
    const time = narrow.time;
    const cases: [(p: Record<string, unknown>) => void, string][] = [
      [(p) => Object.assign(p, { layout: 'long' }), 'layout: Invalid option: expected one of "wide"|"narrow"'],
      [(p) => Object.assign(p, { delimiter: ';;' }), 'delimiter: expected one ASCII character'],
      [(p) => Object.assign(p, { delimiter: '"' }), 'delimiter: expected another character than the quote'],
      [(p) => Object.assign(p, { time: { ...time, format: 'yyyy-MM-ddTHH' } }), 'time.format: expected the letters'],
      [(p) => Object.assign(p, { time: { ...time, zone: 'Chicago' } }), 'time.zone: expected an IANA time zone'],
      [
        (p) => Object.assign(p, { time: { column: 'T', format: 'yyyy-MM-dd HH' } }),
        'time.zone: expected an IANA time zone',
      ],
      [(p) => Object.assign(p, { value: undefined }), 'value: expected a column'],
      [(p) => Object.assign(p, { layout: 'wide' }), 'signal: expected nothing'],
      [
        (p) => Object.assign(p, { signals: { speedKph: { from: 'V', unit: 'psi' } } }),
        'signals.speedKph.unit: expected one of km/h',
      ],
      [
        (p) => Object.assign(p, { signals: { gear: { from: 'G', unit: 'mph' } } }),
        'signals.gear.unit: expected nothing',
      ],
      [
        (p) => Object.assign(p, { signals: { gear: { from: 'G', codes: { N: 0.5 } } } }),
        'signals.gear.codes.N: expected a whole number',
      ],
      [(p) => Object.assign(p, { signals: { speed: { from: 'V' } } }), 'signals: Unrecognized key: "speed"'],
      [
        (p) => Object.assign(p, { signals: { driverId: { from: 'W' } } }),
        'signals.driverId: expected driverId in one place',
      ],
    ];
    for (const [change, expected] of cases) expect(faults(change).join('\n')).toContain(expected);
    expect(faults((p) => Object.assign(p, { driverId: { from: 'W' } }), wide)[0]).toContain(
      'driverId: expected a column',
    );
  });
});
