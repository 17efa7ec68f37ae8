/** What came in: files and batches with their fate, and the rows that were rejected, whole. */
import { type Api, about, type Context, ProblemError, problemAnswers, readCursor, writeCursor } from '@gearhold/http';
import { inputFile as inputFileMessage, inputFilePage, pageQuery, rejectPage } from '@gearhold/schemas/api';
import { type InputFile, inputFile, inputFilesPage, rejectsPage } from '@gearhold/store';
import { z } from 'zod';
import { iso } from '../access/wire.ts';

const tags = ['Files'] as const;
const byId = z.strictObject({ fileId: z.string().regex(/^[0-9a-f]{64}$/) });

/** Rows are of all terminals: only who sees all sees files. */
export function addFileRoutes(app: Api, { store }: Context): void {
  app.get(
    '/v1/files',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'listFiles', tags, summary: 'Files and batches, the newest first' }),
        querystring: pageQuery,
        response: { 200: inputFilePage, ...problemAnswers },
      },
    },
    async ({ query: { limit, cursor } }) => {
      const asked = { list: 'files' };
      const key = cursor === undefined ? null : readCursor(asked, cursor, ['number', 'string']);
      const before = key && { firstSeenMs: key[0] as number, sha256: key[1] as string };
      const found = await inputFilesPage(store, before, limit + 1);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      const more = found.length > limit && last !== undefined;
      return {
        items: items.map(wireFile),
        nextCursor: more ? writeCursor(asked, [last.firstSeenMs, last.sha256]) : null,
      };
    },
  );

  app.get(
    '/v1/files/:fileId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'getFile', tags, summary: 'One file or batch' }),
        params: byId,
        response: { 200: inputFileMessage, ...problemAnswers },
      },
    },
    async ({ params: { fileId } }) => {
      const found = await inputFile(store, fileId);
      if (found === null) throw new ProblemError('not-found');
      return wireFile(found);
    },
  );

  app.get(
    '/v1/files/:fileId/rejects',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'listRejects', tags, summary: 'Rejected rows of a file, whole' }),
        params: byId,
        querystring: pageQuery,
        response: { 200: rejectPage, ...problemAnswers },
      },
    },
    async ({ params: { fileId }, query: { limit, cursor } }) => {
      if ((await inputFile(store, fileId)) === null) throw new ProblemError('not-found');
      const asked = { list: 'rejects', fileId };
      const after = cursor === undefined ? -1 : (readCursor(asked, cursor, ['number'])[0] as number);
      const found = await rejectsPage(store, fileId, after, limit + 1);
      const items = found.slice(0, limit);
      const last = items.at(-1);
      const more = found.length > limit && last !== undefined;
      return {
        items: items.map(({ line, reason, text }) => ({ fileId, line, reason, text })),
        nextCursor: more ? writeCursor(asked, [last.position]) : null,
      };
    },
  );
}

function wireFile(file: InputFile) {
  const counts = JSON.parse(file.counts ?? '{}') as { rejected?: Record<string, number> };
  return {
    fileId: file.sha256,
    name: file.name,
    sha256: file.sha256,
    sizeBytes: file.bytes,
    state: file.state,
    arrivedTime: iso(file.firstSeenMs),
    finishedTime: file.state === 'done' || file.state === 'failed' ? iso(file.stateSinceMs) : null,
    rowsRead: file.rowsRead,
    rowsAccepted: file.rowsAccepted,
    rejected: counts.rejected ?? {},
    failure: file.problem,
  };
}
