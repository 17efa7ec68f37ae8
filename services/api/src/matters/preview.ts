/**
 * The first rows of somebody's file under a profile that may still be wrong: what was understood of them, what was rejected and why.
 * Nothing is kept.
 */
import { Readable } from 'node:stream';
import type { preview, previewRequest } from '@gearhold/schemas/api';
import {
  contractMapping,
  InputUnreadableError,
  IntakeReport,
  type Mapping,
  mappingOf,
  type Reject,
  readReadings,
  signalCount,
  signalNames,
  sourceProfileSchema,
} from '@gearhold/signals';
import { parse } from 'csv-parse/sync';
import type { z } from 'zod';
import { iso } from '../access/wire.ts';

type Preview = z.output<typeof preview>;

const readingsTold = 50;
const rejectsTold = 50;

export async function previewRows({ profile, text, format }: z.output<typeof previewRequest>): Promise<Preview> {
  const compiled = mappingFrom(profile);
  const report = new IntakeReport();
  const rejects: Reject[] = [];
  const readings: Preview['readings'] = [];
  const faults = [...compiled.faults];
  if (compiled.mapping !== null) {
    const options = {
      format,
      gzip: false,
      mapping: compiled.mapping,
      fileIndex: 0,
      fileName: 'the sample',
      report,
      onReject: (reject: Reject) => rejects.push(reject),
    } as const;
    try {
      for await (const batch of readReadings(Readable.from([Buffer.from(text)]), options)) {
        for (let row = 0; row < batch.length && readings.length < readingsTold; row++) {
          const reading: Preview['readings'][number] = {
            time: iso(batch.timesMs[row]!),
            vehicleId: batch.vehicleIds[row]!,
          };
          const driver = batch.driverIds[row];
          if (driver != null) reading.driverId = driver;
          for (const [s, name] of signalNames.entries()) {
            const value = batch.values[row * signalCount + s]!;
            if (!Number.isNaN(value)) reading[name] = value;
          }
          readings.push(reading);
        }
      }
    } catch (error) {
      if (!(error instanceof InputUnreadableError)) throw error;
      faults.push(error.message);
    }
  }
  const rejected = Object.entries(report.rejected).filter(([, count]) => count > 0);
  return {
    columns: format === 'csv' ? headerOf(text, compiled.delimiter) : [],
    unknownColumns: [...report.unknownColumns, ...report.unknownChannels],
    readings,
    rowsRead: report.rowsRead,
    rejected: Object.fromEntries(rejected),
    notReported: report.unusableBySignal as Record<string, number>,
    rejectedRows: rejects.slice(0, rejectsTold).map(({ line, reason, text: row }) => ({
      row: line,
      reason,
      text: row.slice(0, 2000),
    })),
    faults: [...faults, ...report.notices],
  };
}

interface Compiled {
  readonly mapping: Mapping | null;
  readonly delimiter: string;
  readonly faults: readonly string[];
}

function mappingFrom(profile: Record<string, unknown> | null): Compiled {
  if (profile === null) return { mapping: contractMapping, delimiter: ',', faults: [] };
  const parsed = sourceProfileSchema.safeParse(profile);
  if (parsed.success) return { mapping: mappingOf(parsed.data), delimiter: parsed.data.delimiter, faults: [] };
  const faults = parsed.error.issues.map(({ path, message }) => `${path.join('.') || 'the profile'}: ${message}`);
  const { delimiter } = profile;
  return {
    mapping: null,
    delimiter: typeof delimiter === 'string' && delimiter.length === 1 ? delimiter : ',',
    faults,
  };
}

/** Names of the columns as they stand, so that a profile can be made from them. */
function headerOf(text: string, delimiter: string): string[] {
  try {
    const [header] = parse(text, { delimiter, to: 1, bom: true, relax_column_count: true }) as string[][];
    return header ?? [];
  } catch {
    return [];
  }
}
