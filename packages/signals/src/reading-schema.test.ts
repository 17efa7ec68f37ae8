import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { signalCount, signalDefinition, signalIndex, signalNames } from './catalogue.ts';
import { readReadings } from './intake/read.ts';
import { IntakeReport } from './intake/report.ts';
import { readingSchema } from './reading-schema.ts';

async function hot(texts: string[]) {
  const report = new IntakeReport();
  const lines = texts.join('\n');
  async function* bytes() {
    yield Buffer.from(lines);
  }
  const rows: { vehicleId: string; driverId: string | null; values: number[] }[] = [];
  for await (const b of readReadings(bytes(), { format: 'ndjson', fileIndex: 0, fileName: 'x', report })) {
    for (let r = 0; r < b.length; r++) {
      const values = [...b.values.subarray(r * signalCount, (r + 1) * signalCount)];
      rows.push({ vehicleId: b.vehicleIds[r]!, driverId: b.driverIds[r]!, values });
    }
  }
  return { rows, report };
}

const digits = (n: number, w = 2) => String(n).padStart(w, '0');
const times = fc
  .record({
    y: fc.constantFrom(0, 1900, 1970, 2000, 2016, 2026, 9999),
    mo: fc.integer({ min: 0, max: 13 }),
    d: fc.integer({ min: 0, max: 32 }),
    h: fc.integer({ min: 0, max: 25 }),
    mi: fc.constantFrom(0, 30, 59, 60),
    s: fc.constantFrom(0, 1, 59, 60, 61),
    t: fc.constantFrom('T', 't', ' ', '_'),
    f: fc.constantFrom('', '.5', '.123456789012', '.'),
    z: fc.constantFrom('Z', 'z', '', '+01:00', '-00:00', '-23:59', '+24:00', '+0100'),
  })
  .map(({ y, mo, d, h, mi, s, t, f, z: zone }) =>
    [digits(y, 4), '-', digits(mo), '-', digits(d), t, digits(h), ':', digits(mi), ':', digits(s), f, zone].join(''),
  );
const leap = fc.constantFrom('2016-12-31T23:59:60Z', '2016-12-31T15:59:60-08:00', '2016-12-30T23:59:60Z');
const anyTime = fc.oneof({ weight: 4, arbitrary: fc.constant('2026-03-02T06:11:40Z') }, times, leap, fc.jsonValue());
const anyId = fc.oneof(
  { weight: 4, arbitrary: fc.constantFrom('T-1', 'x'.repeat(64), '\u{1f69b}'.repeat(64)) },
  fc.constantFrom('', 'x'.repeat(65), 'a\nb', '\u007f', '\u2029', '\ufffd', '\ud83d', 7, null),
  fc.string({ unit: 'binary', maxLength: 70 }),
);
const anyValue = fc.oneof(
  fc.constantFrom(0, 1, -0, -1, 2, 0.5, 100, 250.996, 250.997, 360, 1e308, true, false, null, '1', 'true', ''),
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  fc.double({ min: -200, max: 200, noNaN: true }),
  fc.integer({ min: -200, max: 200 }),
  fc.jsonValue(),
);
const anyReading = fc
  .record({
    time: anyTime,
    vehicleId: anyId,
    driverId: fc.option(anyId, { nil: undefined }),
    signals: fc.dictionary(fc.constantFrom(...signalNames), anyValue, { maxKeys: 8 }),
    other: fc.option(fc.jsonValue(), { nil: undefined }),
  })
  .map(({ signals, ...rest }) => ({ ...rest, ...signals }));

describe('readingSchema', () => {
  it('agrees with the row path on which readings and which cells can be used, and on their values', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(anyReading, { minLength: 1, maxLength: 20 }), async (readings) => {
        const texts = readings.map((reading) => JSON.stringify(reading));
        const { rows, report } = await hot(texts);
        const expected: typeof rows = [];
        let rejected = 0;
        const unusable = new Array(signalCount).fill(0);
        let unusableDrivers = 0;
        for (const text of texts) {
          const reading = JSON.parse(text);
          const ok = (key: keyof typeof readingSchema.shape) =>
            readingSchema.shape[key].safeParse(reading[key]).success;
          if (!ok('time') || !ok('vehicleId')) {
            rejected += 1;
            continue;
          }
          const values = signalNames.map((name, s) => {
            const value = reading[name];
            if (!ok(name)) unusable[s] += 1;
            return ok(name) && value != null ? Number(value) + 0 : Number.NaN;
          });
          const driver = reading.driverId === '' ? null : reading.driverId;
          if (driver != null && !ok('driverId')) unusableDrivers += 1;
          const driverId = driver != null && ok('driverId') ? driver : null;
          expected.push({ vehicleId: reading.vehicleId, driverId, values });
        }
        expect(rows).toEqual(expected);
        expect(report.rowsRejected).toBe(rejected);
        expect([...report.unusableCells]).toEqual(unusable);
        expect(report.unusableDriverIds).toBe(unusableDrivers);
      }),
      { numRuns: 500 },
    );
  });

  it('becomes a JSON Schema that carries format, ranges and units', () => {
    const schema = z.toJSONSchema(readingSchema, { io: 'input' });
    const properties = schema.properties as Record<string, { format?: string; description?: string }>;
    expect(schema.required).toEqual(['time', 'vehicleId']);
    expect(properties.time?.format).toBe('date-time');
    expect(JSON.stringify(properties.suspensionKpa)).toContain(String(signalDefinition('suspensionKpa').max));
    expect(properties.speedKph?.description).toContain('km/h');
    expect(Object.keys(properties).length).toBe(3 + Object.keys(signalIndex).length);
  });
});
