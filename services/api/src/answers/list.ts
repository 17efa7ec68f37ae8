/**
 * A list in the format that the caller accepts: JSON gives one page; NDJSON and CSV stream everything that the filters find, from
 * the cursor on, with backpressure, however long it is. What is streamed ends with a line `{"problem": ...}` (NDJSON) or breaks off
 * (CSV) where the store fails on the way: a list that ends is whole.
 */
import { Readable } from 'node:stream';
import { chosenFormat, type Format, mediaTypes, ProblemError, readCursor, writeCursor } from '@gearhold/http';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { csvLine } from './csv.ts';

type KeyPart = string | number;

export interface ListSource<Row, Item> {
  /** What was asked, without page size and cursor: a cursor is bound to it. */
  readonly asked: Readonly<Record<string, unknown>>;
  readonly limit: number;
  readonly cursor: string | undefined;
  /** Types of the parts of the sort key. */
  readonly keyShape: readonly ('string' | 'number')[];
  readonly keyOf: (row: Row) => readonly KeyPart[];
  /** Rows after a key, at most so many. */
  readonly page: (after: readonly KeyPart[] | null, limit: number) => Promise<readonly Row[]>;
  readonly item: (row: Row) => Item;
  /** Columns of the CSV form; without them there is none. */
  readonly columns?: Readonly<Record<string, (item: Item) => string | number | boolean | null>>;
}

const streamedPage = 500;

/** JSON: the page as an object. Otherwise sends the stream and gives the reply. */
export async function answerList<Row, Item>(
  request: FastifyRequest,
  reply: FastifyReply,
  source: ListSource<Row, Item>,
): Promise<{ items: Item[]; nextCursor: string | null } | FastifyReply> {
  const offered: Format[] = source.columns === undefined ? ['json', 'ndjson'] : ['json', 'ndjson', 'csv'];
  const format = chosenFormat(request.headers.accept, offered);
  reply.header('vary', 'accept');
  const { asked, cursor, keyShape } = source;
  const after = cursor === undefined ? null : readCursor(asked, cursor, keyShape);
  if (format === 'json') {
    const found = await source.page(after, source.limit + 1);
    const rows = found.slice(0, source.limit);
    const last = rows.at(-1);
    const more = found.length > source.limit && last !== undefined;
    return { items: rows.map(source.item), nextCursor: more ? writeCursor(asked, source.keyOf(last)) : null };
  }
  // The first page before the status is sent, so that what fails at once is answered with a problem.
  const first = await source.page(after, streamedPage);
  const lines = format === 'csv' ? csvLines(source, first) : ndjsonLines(source, first, request);
  reply
    .type(`${mediaTypes[format]}; charset=utf-8`)
    .serializer((payload: unknown) => payload as string)
    .send(Readable.from(lines, { objectMode: false, highWaterMark: 65_536 }));
  return reply;
}

async function* rowsFrom<Row, Item>(
  source: ListSource<Row, Item>,
  first: readonly Row[],
): AsyncGenerator<readonly Row[]> {
  for (let rows = first; ; ) {
    if (rows.length > 0) yield rows;
    const last = rows.at(-1);
    if (rows.length < streamedPage || last === undefined) return;
    rows = await source.page(source.keyOf(last), streamedPage);
  }
}

async function* ndjsonLines<Row, Item>(
  source: ListSource<Row, Item>,
  first: readonly Row[],
  request: FastifyRequest,
): AsyncGenerator<string> {
  try {
    for await (const rows of rowsFrom(source, first)) {
      yield rows.map((row) => `${JSON.stringify(source.item(row))}\n`).join('');
    }
  } catch (error) {
    request.log.error({ err: error }, 'a streamed list broke off');
    yield `${JSON.stringify({ problem: new ProblemError('store-unreachable').body(request.id) })}\n`;
  }
}

async function* csvLines<Row, Item>(source: ListSource<Row, Item>, first: readonly Row[]): AsyncGenerator<string> {
  const columns = Object.entries(source.columns!);
  yield csvLine(columns.map(([name]) => name));
  for await (const rows of rowsFrom(source, first)) {
    yield rows
      .map(source.item)
      .map((item) => csvLine(columns.map(([, value]) => value(item))))
      .join('');
  }
}
