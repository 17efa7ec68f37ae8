/** Readings in batches: NDJSON, CSV or a JSON array, gzip or not, with the reject rules of files. */
import { createHash, randomUUID } from 'node:crypto';
import type { Readable } from 'node:stream';
import type { IngestedFile } from '@gearhold/operations/intake';
import { intakeResult, type rejectedRow } from '@gearhold/schemas/api';
import { type InputFormat, mappingOf, rejectTextMax, sourceProfileSchema } from '@gearhold/signals';
import {
  claimIntakeKey,
  inputFile,
  keepIntakeAnswer,
  readRejects,
  releaseIntakeKey,
  sourceProfile,
} from '@gearhold/store';
import type { FastifyRequest } from 'fastify';
import { Gauge, type Registry } from 'prom-client';
import { z } from 'zod';
import { principalOf } from '../access/gate.ts';
import { streamedBodyLimit } from '../document/limits.ts';
import { ProblemError } from '../problems/problem.ts';
import type { Context } from '../service/context.ts';
import { type Api, about, problemAnswers } from '../service/route.ts';
import { Batches, type BatchMapping, byContract } from './batches.ts';
import { spool } from './spool.ts';

type IntakeResult = z.output<typeof intakeResult>;

/** What a body may unpack to, bytes. */
const unpackedMax = 256 * 1024 * 1024;
/** Rejected rows that the answer tells one by one, and how much of each. */
const rejectsTold = 1000;
const rejectTextTold = 2000;

const formats: Readonly<Record<string, InputFormat>> = {
  'application/x-ndjson': 'ndjson',
  'application/jsonl': 'ndjson',
  'text/csv': 'csv',
  'application/json': 'json',
};

const bodies = {
  'application/x-ndjson': { type: 'string', description: 'A reading a line, as a JSON object' },
  'text/csv': { type: 'string', description: 'A header row, then a reading a row, by RFC 4180' },
  'application/json': {
    type: 'array',
    items: { type: 'object', additionalProperties: true, maxProperties: 1000 },
    description: 'Readings, each an object',
  },
};

const headers = z.object({
  'idempotency-key': z
    .string()
    .min(1)
    .max(128)
    .regex(/^[\x21-\x7e]+$/)
    .optional()
    .meta({ description: 'The same key with the same batch gets the same answer, however often it is sent' }),
});

const querystring = z.strictObject({
  profile: z.string().min(1).max(64).optional().meta({
    description: "Name of a source profile that is kept here: the columns, units and times are somebody else's",
  }),
});

export interface ReadingOptions {
  readonly registry: Registry;
  /** Told of vehicles that have something new, so that a detector need not wait. */
  readonly onStored?: () => void;
}

export function addReadingRoutes(app: Api, context: Context, { registry, onStored }: ReadingOptions): void {
  const { store, clock } = context;
  const batches = new Batches(context);
  new Gauge({
    name: 'gearhold_intake_batches',
    help: 'Batches of readings that are being written or wait to be',
    registers: [registry],
    collect() {
      this.set(batches.depth);
    },
  });

  app.register(async (scope) => {
    // The body is read as it arrives, whatever its type says: the type is looked at by the handler.
    scope.removeAllContentTypeParsers();
    scope.addContentTypeParser('*', { bodyLimit: streamedBodyLimit }, (_, payload, done) => done(null, payload));
    (scope as unknown as Api).post(
      '/v1/readings',
      {
        bodyLimit: streamedBodyLimit,
        config: { access: 'ingest', bodies, rateLimit: { max: 6000, timeWindow: 60_000 } },
        schema: {
          ...about('ingest', {
            operationId: 'sendReadings',
            tags: ['Readings'],
            summary: 'Send readings in a batch',
            description:
              'The body is application/x-ndjson, text/csv with a header row, or a JSON array, with Content-Encoding gzip or none, at ' +
              'most 32 MiB as sent. A row is rejected only where its columns, time or vehicleId fail; the others are taken. However ' +
              'late a reading is, it is stored and its stretch analysed again. Where the intake is full the answer is 429 and nothing ' +
              'was taken.',
          }),
          headers,
          querystring,
          response: { 200: intakeResult, ...problemAnswers },
        },
      },
      async (request) => {
        const key = request.headers['idempotency-key'];
        const format = formatOf(request);
        const by = await mappingNamed(request.query.profile);
        const batch = await spool(request.body as Readable, request.headers['content-encoding'], unpackedMax);
        try {
          const caller = principalOf(request).id;
          const bodyHash = createHash('sha256').update(`${format} ${batch.sha256} ${by.mappingId}`).digest('hex');
          if (key !== undefined) {
            const claim = await claimIntakeKey(store, { caller, key, bodyHash }, clock.now());
            if (claim === 'other') throw new ProblemError('idempotency-mismatch');
            if (claim !== 'new') return { ...(JSON.parse(claim.answer) as IntakeResult), repeated: true };
          }
          const answer = await take(batch.path, format, by).catch(async (error: unknown) => {
            if (key !== undefined) await releaseIntakeKey(store, caller, key);
            throw error;
          });
          if (key !== undefined) await keepIntakeAnswer(store, caller, key, JSON.stringify(answer));
          return answer;
        } finally {
          await batch.remove();
        }
      },
    );
  });

  /** @throws ProblemError `content-unusable` where no profile has this name */
  async function mappingNamed(name: string | undefined): Promise<BatchMapping> {
    if (name === undefined) return byContract;
    const kept = await sourceProfile(store, name);
    if (kept === null) {
      throw new ProblemError('content-unusable', `No source profile is kept under the name '${name}'.`, {
        places: [{ in: 'query', pointer: '/profile', detail: 'a name that /v1/profiles lists' }],
      });
    }
    const mapping = mappingOf(sourceProfileSchema.parse(JSON.parse(kept.document)));
    return { mapping, mappingId: createHash('sha256').update(kept.document).digest('hex').slice(0, 16) };
  }

  async function take(path: string, format: InputFormat, by: BatchMapping): Promise<IntakeResult> {
    const taken = await batches.take(randomUUID(), path, format, by);
    if (taken.outcome === 'busy') {
      throw new ProblemError(
        'state-conflict',
        'The same batch is being written at the moment; ask again for its answer.',
      );
    }
    if (taken.rowsNew + taken.rowsChanged > 0) onStored?.();
    if (taken.outcome === 'failed') {
      throw new ProblemError('body-unreadable', `${taken.problem}. What stood before that was taken.`);
    }
    return answerOf(taken);
  }

  async function answerOf(taken: IngestedFile): Promise<IntakeResult> {
    const rejectedRows: z.output<typeof rejectedRow>[] = [];
    for await (const { line, reason, text } of readRejects(store, taken.sha256)) {
      if (rejectedRows.length === rejectsTold) break;
      rejectedRows.push({ row: line, reason, text: text.slice(0, Math.min(rejectTextTold, rejectTextMax)) });
    }
    const file = (await inputFile(store, taken.sha256))!;
    const counts = JSON.parse(file.counts ?? '{}') as {
      rejected?: Record<string, number>;
      unusableCells?: Record<string, number>;
    };
    const known = taken.outcome === 'known';
    const rowsNew = known ? 0 : taken.rowsNew;
    const rowsChanged = known ? 0 : taken.rowsChanged;
    return {
      batchId: taken.sha256,
      rowsRead: file.rowsRead,
      rowsAccepted: file.rowsAccepted,
      rowsNew,
      rowsChanged,
      rowsSame: file.rowsAccepted - rowsNew - rowsChanged,
      rejected: counts.rejected ?? {},
      notReported: counts.unusableCells ?? {},
      rejectedRows,
      repeated: known,
    };
  }
}

function formatOf(request: FastifyRequest): InputFormat {
  const type = request.headers['content-type']?.split(';', 1)[0]?.trim().toLowerCase() ?? '';
  const format = formats[type];
  if (format !== undefined) return format;
  const expected = Object.keys(formats).join(', ');
  throw new ProblemError(
    'media-type-unknown',
    `Content-Type '${type.slice(0, 80)}' is not taken: expected ${expected}.`,
  );
}
