/** Readings as they are sent, what became of each row, and the files and rejects that came in. */
import { z } from 'zod';
import { pageOf, time } from './parts.ts';

export const rejectedRow = z
  .object({
    row: z.int().min(1).meta({ description: 'Line of the body, the header counted' }),
    reason: z.string().meta({ description: 'time, vehicleId, columns, ... as in the summary of an analysis' }),
    text: z.string().meta({ description: 'The row as it came, cut at 2,000 characters' }),
  })
  .meta({ id: 'RejectedRow' });

export const intakeResult = z
  .object({
    batchId: z.string(),
    rowsRead: z.int().min(0),
    rowsAccepted: z.int().min(0),
    rowsNew: z.int().min(0).meta({ description: 'Of a vehicle and instant not seen before' }),
    rowsChanged: z.int().min(0).meta({ description: 'That added to or corrected what was there' }),
    rowsSame: z.int().min(0),
    rejected: z.record(z.string(), z.int().min(0)).meta({ description: 'By reason' }),
    notReported: z.record(z.string(), z.int().min(0)).meta({ description: 'Unusable cells by signal' }),
    rejectedRows: z.array(rejectedRow).meta({ description: 'The first 1,000; all are kept with the batch' }),
    repeated: z.boolean().meta({ description: 'The same idempotency key came before: this is that answer' }),
  })
  .meta({ id: 'IntakeResult' });

export const previewRequest = z
  .strictObject({
    profile: z.record(z.string(), z.unknown()).nullable().default(null),
    text: z.string().min(1).max(262_144).meta({ description: 'The first rows, header included' }),
    format: z.enum(['csv', 'ndjson']).default('csv'),
  })
  .meta({ id: 'PreviewRequest' });

export const preview = z
  .object({
    columns: z.array(z.string()).meta({ description: 'Columns of the header, as they stand' }),
    unknownColumns: z.array(z.string()),
    readings: z.array(z.record(z.string(), z.union([z.string(), z.number()]))).meta({
      description: 'The first 50 rows as they were understood, in the units of the reading',
    }),
    rowsRead: z.int().min(0),
    rejected: z.record(z.string(), z.int().min(0)),
    notReported: z.record(z.string(), z.int().min(0)),
    rejectedRows: z.array(rejectedRow),
    faults: z.array(z.string()).meta({ description: 'What is wrong with the profile, a sentence each' }),
  })
  .meta({ id: 'Preview' });

export const inputFile = z
  .object({
    fileId: z.string(),
    name: z.string(),
    sha256: z.string(),
    sizeBytes: z.int().min(0),
    state: z.string(),
    arrivedTime: time,
    finishedTime: time.nullable(),
    rowsRead: z.int().min(0),
    rowsAccepted: z.int().min(0),
    rejected: z.record(z.string(), z.int().min(0)),
    failure: z.string().nullable(),
  })
  .meta({ id: 'InputFile' });
export const inputFilePage = pageOf('InputFilePage', inputFile);

export const reject = z
  .object({ fileId: z.string(), line: z.int().min(0), reason: z.string(), text: z.string() })
  .meta({ id: 'Reject' });
export const rejectPage = pageOf('RejectPage', reject);
