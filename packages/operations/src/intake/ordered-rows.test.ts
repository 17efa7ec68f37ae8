import {
  contractMapping,
  IntakeReport,
  type ReadingBatch,
  type Reject,
  signalCount,
  signalIndex,
} from '@gearhold/signals';
import { expect, test } from 'vitest';
import { orderedRows, withoutFirst } from './ordered-rows.ts';

interface Run {
  readonly rows: string[];
  readonly rejects: string[];
  readonly report: IntakeReport;
}

async function run(text: string, pieceBytes = 1 << 20, batchRows?: number): Promise<Run> {
  const report = new IntakeReport();
  const rejects: string[] = [];
  const bytes = new TextEncoder().encode(text);
  const pieces = async function* () {
    for (let at = 0; at < bytes.length; at += pieceBytes) yield bytes.subarray(at, at + pieceBytes);
  };
  const rows: string[] = [];
  const options = {
    fileName: 'day.csv',
    format: 'csv',
    mapping: contractMapping,
    lateMs: 30_000,
    report,
    onReject: (reject: Reject) => rejects.push(`${reject.line} ${reject.reason}`),
    driver: (id: string | null) => id,
    ...(batchRows !== undefined && { batchRows }),
  } as const;
  for await (const batch of orderedRows(pieces(), options)) rows.push(...textOf(batch));
  return { rows, rejects, report };
}

function textOf(batch: ReadingBatch): string[] {
  const rows: string[] = [];
  for (let row = 0; row < batch.length; row++) {
    const speed = batch.values[row * signalCount + signalIndex.speedKph];
    rows.push(`${batch.vehicleIds[row]} ${batch.timesMs[row]! % 3_600_000} ${batch.driverIds[row]} ${speed}`);
  }
  return rows;
}

const header = 'time,vehicleId,driverId,speedKph,gear\n';
const day = [
  '2026-03-02T06:00:01Z,T-1,D-1,10,1',
  '2026-03-02T06:00:00Z,T-1,,9,1',
  'no time,T-1,,9,1',
  '2026-03-02T06:00:01Z,T-1,,10,2',
  '2026-03-02T06:00:01Z,T-2,,5,',
  '2026-03-02T06:00:02Z,T-1,D-2,11,1',
  '2026-03-02T06:00:02.0000001Z,T-1,,12,1',
  '2026-03-02T06:10:00Z,T-1,,13,1',
  '2026-03-02T06:00:00Z,T-1,,9,1',
].join('\n');

test('rows come in the order of time, one a vehicle and instant, merged by the rules of a file', async () => {
  const { rows, rejects, report } = await run(header + day);
  expect(rows.filter((row) => row.startsWith('T-1'))).toEqual([
    'T-1 0 null 9',
    'T-1 1000 D-1 10',
    // Closer than a microsecond is one instant: the speeds disagree, the driver does not.
    'T-1 2000 D-2 NaN',
    'T-1 600000 null 13',
  ]);
  expect(rows.filter((row) => row.startsWith('T-2'))).toEqual(['T-2 1000 null 5']);
  expect(rejects).toEqual(['4 time', '10 late']);
  expect(report.conflicts).toBe(2);
});

test('neither the pieces of bytes nor the size of batches changes the rows or their order', async () => {
  const whole = await run(header + day);
  for (const [pieceBytes, batchRows] of [
    [1, 1],
    [7, 2],
    [64, 3],
  ]) {
    const cut = await run(header + day, pieceBytes, batchRows);
    expect(cut.rows).toEqual(whole.rows);
    expect(cut.rejects).toEqual(whole.rejects);
  }
});

test('a batch without its first rows holds the rest', async () => {
  const report = new IntakeReport();
  const bytes = (async function* () {
    yield new TextEncoder().encode(header + day);
  })();
  const options = { fileName: 'day.csv', format: 'csv', mapping: contractMapping, lateMs: 30_000, report } as const;
  for await (const batch of orderedRows(bytes, { ...options, onReject: () => {}, driver: (id) => id })) {
    expect(textOf(withoutFirst(batch, 2))).toEqual(textOf(batch).slice(2));
  }
});
