import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { gzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type SignalName, signalCount, signalIndex } from '../catalogue.ts';
import type { ReadingBatch } from '../reading.ts';
import { formatOfName, type ReadOptions, readReadings } from './read.ts';
import { IntakeReport, type Reject } from './report.ts';
import { InputUnreadableError } from './unreadable.ts';

interface Row {
  vehicleId: string;
  driverId: string | null;
  timeMs: number;
  values: Partial<Record<SignalName, number>>;
}

async function* chunks(bytes: Uint8Array, size = 65_536): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

const names = Object.keys(signalIndex) as SignalName[];

async function read(input: string | Uint8Array, options: Partial<ReadOptions> = {}, size?: number) {
  const report = new IntakeReport();
  const rejects: Reject[] = [];
  const rows: Row[] = [];
  let error: unknown = null;
  const source = typeof input === 'string' ? Buffer.from(input) : input;
  const all: ReadOptions = {
    format: 'csv',
    fileIndex: 0,
    fileName: 'day.csv',
    report,
    onReject: (reject) => rejects.push(reject),
    ...options,
  };
  try {
    for await (const batch of readReadings(chunks(source, size), all)) {
      for (let r = 0; r < batch.length; r++) {
        const values: Row['values'] = {};
        for (const name of names) {
          const value = batch.values[r * signalCount + signalIndex[name]]!;
          if (!Number.isNaN(value)) values[name] = value;
        }
        rows.push({
          vehicleId: batch.vehicleIds[r]!,
          driverId: batch.driverIds[r]!,
          timeMs: batch.timesMs[r]!,
          values,
        });
      }
    }
  } catch (thrown) {
    error = thrown;
  }
  return { rows, report, rejects, error };
}

const t = '2026-03-02T06:11:40Z';
const ms = Date.UTC(2026, 2, 2, 6, 11, 40);

describe('readReadings of CSV', () => {
  it('reads columns in any order and leaves empty cells out', async () => {
    const { rows, report } = await read(`speedKph,vehicleId,gear,time,driverId\n3.5,T-1,,${t},D-1\n,T-2,-1,${t},\n`);
    expect(rows).toEqual([
      { vehicleId: 'T-1', driverId: 'D-1', timeMs: ms, values: { speedKph: 3.5 } },
      { vehicleId: 'T-2', driverId: null, timeMs: ms, values: { gear: -1 } },
    ]);
    expect([report.rowsRead, report.rowsAccepted, report.rowsRejected]).toEqual([2, 2, 0]);
  });

  it('reads quotes, escaped quotes, line ends within quotes, CRLF, a byte-order mark and a last line without end', async () => {
    const text = `\ufefftime,vehicleId,"note, long",speedKph\r\n${t},"T-1","a ""b""\r\nc",1\r\n\r\n"${t}",T-2,,"2"`;
    const { rows, report } = await read(text);
    expect(rows.map((r) => [r.vehicleId, r.values.speedKph])).toEqual([
      ['T-1', 1],
      ['T-2', 2],
    ]);
    expect([...report.unknownColumns]).toEqual(['note, long']);
  });

  it('reads lines that end in a lone carriage return', async () => {
    const { rows } = await read(`time,vehicleId\r${t},T-1\r${t},"T-2"\r`);
    expect(rows.map((r) => r.vehicleId)).toEqual(['T-1', 'T-2']);
  });

  it('counts cells that cannot be used by signal and keeps the row', async () => {
    const cells = ['NaN', 'Infinity', '1e999', '0x10', '-1', '251', 'fast', '1,5'];
    const body = cells.map((c) => `${t},T-1,"${c}",3.0,TRUE`).join('\n');
    const { rows, report } = await read(`time,vehicleId,speedKph,gear,parkingBrake\n${body}\n`);
    expect(rows.length).toBe(cells.length);
    expect(
      rows.every((r) => r.values.speedKph === undefined && r.values.gear === 3 && r.values.parkingBrake === 1),
    ).toBe(true);
    expect(report.unusableBySignal).toEqual({ speedKph: cells.length });
  });

  it('rejects a row only for its columns, time or vehicleId, and keeps it whole with its line', async () => {
    const text = `time,vehicleId,speedKph\n${t},T-1,1,\nyesterday,T-1,1\n${t},,1\n${t},"T\n1",1\n${t},T-1,9\n`;
    const { rows, rejects, report } = await read(text);
    expect(rows.map((r) => r.values.speedKph)).toEqual([9]);
    expect(rejects).toEqual([
      { fileName: 'day.csv', line: 2, reason: 'columns', text: `${t},T-1,1,`, cut: false },
      { fileName: 'day.csv', line: 3, reason: 'time', text: 'yesterday,T-1,1', cut: false },
      { fileName: 'day.csv', line: 4, reason: 'vehicleId', text: `${t},,1`, cut: false },
      { fileName: 'day.csv', line: 5, reason: 'vehicleId', text: `${t},"T\n1",1`, cut: false },
    ]);
    expect(report.rowsRead).toBe(5);
  });

  it('loses one line to broken quotes and goes on at the next', async () => {
    const text = `time,vehicleId,speedKph\n${t},"T-1,1\n${t},T-2,2\n${t},T"3,3\n${t},"T-4"x,4\n${t},"T-5",5\n${t},"T-6`;
    const { rows, rejects } = await read(text);
    expect(rows.map((r) => r.vehicleId)).toEqual(['T-2', 'T-5']);
    expect(rejects.map((r) => [r.line, r.reason])).toEqual([
      [2, 'quotes'],
      [4, 'quotes'],
      [5, 'quotes'],
      [7, 'quotes'],
    ]);
  });

  it('judges lateness within the file when asked, and keeps late rows whole', async () => {
    const text = `time,vehicleId\n2026-03-02T06:00:00Z,A\n2026-03-02T06:01:00Z,A\n2026-03-02T06:00:00Z,B\n2026-03-02T06:00:29Z,A\n`;
    const { rows, rejects, report } = await read(text, { lateMs: 30_000 });
    expect(rows.length).toBe(3);
    expect(rejects).toEqual([
      { fileName: 'day.csv', line: 5, reason: 'late', text: '2026-03-02T06:00:29Z,A', cut: false },
    ]);
    expect(report.late).toBe(1);
  });

  describe('where one row lies hours or years ahead of its neighbours', () => {
    const at = (time: string, vehicle = 'A') => `2026-03-02T${time}Z,${vehicle}`;
    const before = [at('06:00:00'), at('06:00:01')];
    const after = [at('06:00:02'), at('06:00:03'), at('06:00:04')];
    const judged = (rows: readonly string[], onlyLate = 30_000) =>
      read(['time,vehicleId', ...rows, ''].join('\n'), { lateMs: onlyLate });

    it.each(['2036-03-02T06:00:02Z,A', at('11:00:00')])('rejects %s, whole, and keeps the rest', async (stray) => {
      const { rows, rejects, report } = await judged([...before, stray, ...after]);
      expect(rows.length).toBe(5);
      expect(rejects).toEqual([{ fileName: 'day.csv', line: 4, reason: 'clock', text: stray, cut: false }]);
      expect([report.rowsRead, report.rowsAccepted, report.rejected.clock]).toEqual([6, 5, 1]);
    });

    it('keeps it where the file ends, where the next rows follow it, and where no row would be late after it', async () => {
      const night = [at('16:00:00'), at('16:00:01')];
      for (const [rows, lateMs] of [
        [[...before, at('16:00:00')], 30_000],
        [[...before, at('16:00:00'), at('06:00:00', 'B')], 30_000],
        [[...before, ...night], 30_000],
        [[...before, night[0]!, after[0]!, night[1]!], 30_000],
        [[...before, at('16:00:00'), ...after], 11 * 3_600_000],
      ] as const) {
        const { rows: kept, report } = await judged(rows, lateMs);
        expect(kept.length).toBe(rows.length);
        expect(report.rowsAccepted).toBe(rows.length);
      }
    });

    it('hands on what it held in its place', async () => {
      const { rows } = await judged([...before, at('16:00:00'), at('17:30:00'), at('17:30:01')]);
      expect(rows.map((row) => new Date(row.timeMs).toISOString().slice(11, 19))).toEqual([
        '06:00:00',
        '06:00:01',
        '16:00:00',
        '17:30:00',
        '17:30:01',
      ]);
    });
  });

  it('says which column stands twice', async () => {
    const { error } = await read(`time,vehicleId,gear,gear\n${t},T-1,1,1\n`);
    expect(error).toBeInstanceOf(InputUnreadableError);
    expect(String(error)).toContain('"gear"');
  });

  it('says which required column is missing and rejects every row', async () => {
    const { rows, report, error } = await read(`Time,vehicleId\n${t},T-1\n`);
    expect([rows.length, report.rejected.columns, error]).toEqual([0, 1, null]);
    expect([...report.notices][0]).toContain('there is no column "time"');
  });

  it('takes a file with only a header as no rows, and an empty one as unreadable', async () => {
    expect((await read('time,vehicleId\n')).error).toBeNull();
    expect((await read('')).error).toMatchObject({ code: 'empty' });
  });
});

describe('readReadings of JSON', () => {
  const row = `{"time":"${t}","vehicleId":"T-1","speedKph":3.5,"parkingBrake":true,"gear":null,"extra":{"a":[1]}}`;
  const values = { speedKph: 3.5, parkingBrake: 1 };

  it('reads one object a line and counts what is none', async () => {
    const { rows, rejects, report } = await read(`${row}\r\n\n[1]\n{"time":\n${row}`, { format: 'ndjson' });
    expect(rows.map((r) => r.values)).toEqual([values, values]);
    expect(rejects.map((r) => [r.line, r.reason, r.text])).toEqual([
      [3, 'not-json', '[1]'],
      [4, 'not-json', '{"time":'],
    ]);
    expect([...report.unknownColumns]).toEqual(['extra']);
  });

  it('reads one array, whatever stands in its strings', async () => {
    const odd = `{"time":"${t}","vehicleId":"T-2","x":"]},\\"{["}`;
    const { rows, rejects } = await read(` [\n${row},\n${odd} , 7, {"a":1] ,${row}]\n`, { format: 'json' });
    expect(rows.map((r) => r.vehicleId)).toEqual(['T-1', 'T-2', 'T-1']);
    expect(rejects.map((r) => [r.line, r.reason, r.text.trim()])).toEqual([
      [3, 'not-json', '7'],
      [3, 'not-json', '{"a":1]'],
    ]);
    expect((await read('[]', { format: 'json' })).error).toBeNull();
  });

  it('says where an array breaks, after what came before it', async () => {
    const cut = await read(`[${row},${row},{"time":`, { format: 'json' });
    expect([cut.rows.length, cut.report.rejected['cut-off']]).toEqual([2, 1]);
    expect(cut.error).toMatchObject({ code: 'cut-off' });
    expect((await read(`[${row}] x`, { format: 'json' })).error).toMatchObject({ code: 'not-an-array' });
    expect(String((await read(row, { format: 'json' })).error)).toContain('ndjson');
  });
});

describe('readReadings of bytes', () => {
  const csv = `time,vehicleId,speedKph,note\n${Array.from({ length: 60 }, (_, i) =>
    i % 7 === 3
      ? `${t},"T-${i}",${i},"x, ""y""\nz"`
      : i % 11 === 5
        ? `${t},T"${i},1,`
        : `${t},T-${i},${i},${i % 5 === 0 ? 'é' : ''}`,
  ).join('\r\n')}\r\n`;

  it('does not depend on where the bytes are cut', async () => {
    const whole = await read(csv);
    expect(whole.rows.length).toBeGreaterThan(40);
    for (const size of [1, 2, 3, 5, 7, 64, 1000]) {
      const cut = await read(csv, {}, size);
      expect(cut.rows).toEqual(whole.rows);
      expect(cut.rejects).toEqual(whole.rejects);
    }
  });

  it('does not depend on it for any bytes at all', async () => {
    const soup = fc.array(
      fc.constantFrom('"', ',', '\n', '\r', '\r\n', 'T', t, `${t},T-1,5\n`, `"${t}",T-2,"6"\n`, '""', ' ', 'é'),
      { maxLength: 60 },
    );
    await fc.assert(
      fc.asyncProperty(soup, fc.integer({ min: 1, max: 9 }), async (parts, size) => {
        const text = `time,vehicleId,speedKph\n${parts.join('')}`;
        const whole = await read(text);
        const cut = await read(text, {}, size);
        expect(cut.rows).toEqual(whole.rows);
        expect(cut.rejects).toEqual(whole.rejects);
        expect(whole.report.rowsRead).toBe(whole.rows.length + whole.rejects.length);
      }),
      { numRuns: 300 },
    );
  });

  it('reads gzip by its first bytes, several members included', async () => {
    const half = Math.floor(csv.length / 2);
    const zipped = Buffer.concat([gzipSync(csv.slice(0, half)), gzipSync(csv.slice(half))]);
    const plain = await read(csv);
    for (const size of [1, 100, 65_536]) expect((await read(zipped, {}, size)).rows).toEqual(plain.rows);
  });

  it('hands on every row before gzip data break off, then says so', async () => {
    const rows = Array.from({ length: 20_000 }, (_, i) => `${t},T-${i % 97},${(i * 7919) % 250}`);
    const zipped = gzipSync(`time,vehicleId,speedKph\n${rows.join('\n')}\n`);
    const cut = await read(zipped.subarray(0, zipped.length - 300));
    expect(cut.rows.length).toBeGreaterThan(19_000);
    expect(cut.error).toMatchObject({ code: 'gzip' });
    expect(String(cut.error)).toContain('could not be read to its end');
    expect(cut.report.rejected['cut-off']).toBe(1);
    const ended = await read(zipped.subarray(0, zipped.length - 300), { unreadable: 'end' });
    expect([ended.error, ended.report.unreadable.length, ended.rows.length]).toEqual([null, 1, cut.rows.length]);
  });

  it('names what is not text in UTF-8', async () => {
    const cases: [Uint8Array, string][] = [
      [Buffer.from('\ufefftime,vehicleId\n', 'utf16le'), 'UTF-16'],
      [Buffer.from('time,vehicleId\n', 'utf16le'), 'UTF-16'],
      [Buffer.from('504b030414000000', 'hex'), 'zip'],
      [Buffer.from('50415231', 'hex'), 'Parquet'],
      [Buffer.from([1, 0, 200, 7, 0, 0, 3]), 'not text'],
    ];
    for (const [bytes, words] of cases) expect(String((await read(bytes)).error)).toContain(words);
    expect((await read('time,vehicleId\n', { gzip: true })).error).toMatchObject({ code: 'gzip' });
  });

  it('says what the system reported when reading failed, after the rows before', async () => {
    async function* failing(): AsyncGenerator<Uint8Array> {
      yield Buffer.from(`time,vehicleId\n${t},T-1\n${t},T-`);
      throw Object.assign(new Error('i/o error, read'), { code: 'EIO' });
    }
    const report = new IntakeReport();
    const lengths: number[] = [];
    const reading = async () => {
      for await (const b of readReadings(failing(), { format: 'csv', fileIndex: 0, fileName: 'f.csv', report })) {
        lengths.push(b.length);
      }
    };
    await expect(reading()).rejects.toThrow(/f\.csv: could not be read to its end \(EIO\)/);
    expect(lengths).toEqual([1]);
  });

  it('refuses a line of many megabytes as one row in bounded memory', async () => {
    async function* long(): AsyncGenerator<Uint8Array> {
      yield Buffer.from(`time,vehicleId\n${t},T-1\n`);
      for (let i = 0; i < 600; i++) yield Buffer.alloc(65_536, 'x');
      yield Buffer.from(`\n${t},T-2\n`);
    }
    for (const format of ['csv', 'ndjson'] as const) {
      const report = new IntakeReport();
      let rows = 0;
      for await (const b of readReadings(long(), { format, fileIndex: 0, fileName: 'f', report })) rows += b.length;
      expect([rows, report.rejected['too-long']]).toEqual([format === 'csv' ? 2 : 0, 1]);
    }
  });

  it('refuses a header of a million columns', async () => {
    expect((await read(`time,vehicleId${',a'.repeat(1_000_000)}\n${t},T-1\n`)).error).toMatchObject({ code: 'header' });
    expect((await read(`time,vehicleId${',a'.repeat(5000)}\n`)).error).toMatchObject({ code: 'header' });
  });
});

describe('readReadings as an operator', () => {
  const row = `${t},T-1,5\n`;

  it('stands in a pipeline of node:stream', async () => {
    const report = new IntakeReport();
    let rows = 0;
    await pipeline(
      Readable.from([Buffer.from(`time,vehicleId,speedKph\n${row}`), Buffer.from(row.repeat(2000))]),
      (bytes: AsyncIterable<Uint8Array>) => readReadings(bytes, { format: 'csv', fileIndex: 3, fileName: 'x', report }),
      async (batches: AsyncIterable<ReadingBatch>) => {
        for await (const batch of batches) {
          expect(batch.fileIndex).toBe(3);
          rows += batch.length;
        }
      },
    );
    expect([rows, report.rowsAccepted]).toEqual([2001, 2001]);
  });

  it('reads no further than its reader asks', async () => {
    let pulled = 0;
    async function* endless(): AsyncGenerator<Uint8Array> {
      yield Buffer.from('time,vehicleId,speedKph\n');
      for (;;) {
        pulled += 1;
        yield Buffer.from(row.repeat(2000));
      }
    }
    const report = new IntakeReport();
    const reading = readReadings(endless(), { format: 'csv', fileIndex: 0, fileName: 'x', report });
    for (let i = 0; i < 8; i++) await reading.next();
    await reading.return(undefined);
    expect(pulled).toBeLessThanOrEqual(4);
  });
});

describe('IntakeReport', () => {
  it('adds up the reports of files that were read apart', async () => {
    const text = `time,vehicleId,speedKph,x\n${t},T-1,5,\nyesterday,T-1,5,\n${t},T-1,fast,\n`;
    const one = (await read(text)).report;
    const two = new IntakeReport();
    two.add(one);
    two.add(one);
    expect([two.rowsRead, two.rowsAccepted, two.rejected.time, two.rowsRejected]).toEqual([6, 4, 2, 2]);
    expect(two.unusableBySignal).toEqual({ speedKph: 2 });
    expect([...two.unknownColumns]).toEqual(['x']);
  });

  it('remembers a bounded part of a bounded number of unknown names', () => {
    const report = new IntakeReport();
    for (let i = 0; i < 3000; i++) report.nameUnknownColumn(`${i}${'x'.repeat(1000)}`);
    expect(report.unknownColumns.size).toBe(1000);
    expect(Math.max(...[...report.unknownColumns].map((name) => name.length))).toBe(203);
  });
});

describe('formatOfName', () => {
  it('goes by the extension, with or without .gz', () => {
    expect(formatOfName('a/day.CSV.gz')).toEqual({ format: 'csv', gzip: true });
    expect(formatOfName('day.jsonl')).toEqual({ format: 'ndjson', gzip: undefined });
    expect(formatOfName('day.json')).toEqual({ format: 'json', gzip: undefined });
    expect(formatOfName('day.txt')).toEqual({ format: null, gzip: undefined });
  });
});
