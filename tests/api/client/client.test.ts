/** A client that is generated from the document: it compiles in strict mode, and does its work against a service. */
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import openapiTS, { astToString } from 'openapi-typescript';
import ts from 'typescript';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startDemo } from '../../../services/api/src/testing/demo.ts';
import { committedText } from '../committed.ts';
import {
  allEpisodes,
  changesSince,
  connect,
  dismiss,
  gravest,
  problemOfUnknown,
  samplesOf,
  sendRows,
} from './program.ts';

const programPath = join(import.meta.dirname, 'program.ts');

const typesPath = join(import.meta.dirname, 'generated.d.ts');
/** What is made from the document; only the compiler below sees it as a file. */
let types: string;
beforeAll(async () => {
  types = astToString(await openapiTS(committedText()));
});

/** What the compiler says of the program, with a part of it put otherwise. */
function diagnostics(put: (text: string) => string = (text) => text): string[] {
  const options: ts.CompilerOptions = {
    strict: true,
    exactOptionalPropertyTypes: true,
    noUncheckedIndexedAccess: true,
    noEmit: true,
    target: ts.ScriptTarget.ESNext,
    module: ts.ModuleKind.NodeNext,
    moduleResolution: ts.ModuleResolutionKind.NodeNext,
    allowImportingTsExtensions: true,
    lib: ['lib.esnext.d.ts', 'lib.dom.d.ts', 'lib.dom.iterable.d.ts'],
    types: [],
  };
  const host = ts.createCompilerHost(options);
  const { readFile, fileExists, getSourceFile } = host;
  host.fileExists = (name) => name === typesPath || fileExists(name);
  host.readFile = (name) => {
    if (name === typesPath) return types;
    return name === programPath ? put(readFile(name)!) : readFile(name);
  };
  host.getSourceFile = (name, language, ...rest) =>
    name === programPath || name === typesPath
      ? ts.createSourceFile(name, host.readFile(name)!, language)
      : getSourceFile.call(host, name, language, ...rest);
  const program = ts.createProgram([programPath], options, host);
  return ts.getPreEmitDiagnostics(program).map(({ messageText }) => ts.flattenDiagnosticMessageText(messageText, '\n'));
}

describe('the generated types', () => {
  it('compile with a program of a consumer, in strict mode', () => {
    expect(diagnostics()).toEqual([]);
  });

  it('refuse what the document does not say', () => {
    const told = (from: string, to: string) => diagnostics((text) => text.replace(from, to)).join('\n');
    expect(told("state: 'unsettled'", "state: 'unsetled'")).toContain('unsetled');
    expect(told('data.nextAfter', 'data.nextafter')).toContain('nextafter');
    expect(told("action: 'dismiss', reason", 'reason')).toContain('action');
    expect(told("'/v1/changes'", "'/v1/change'")).toContain('/v1/change');
  });
});

describe('the program', () => {
  let service: Awaited<ReturnType<typeof startDemo>>;
  let client: ReturnType<typeof connect>;
  beforeAll(async () => {
    service = await startDemo();
    await service.app.listen({ host: '127.0.0.1', port: 0 });
    const { port } = service.app.server.address() as AddressInfo;
    client = connect(`http://127.0.0.1:${port}`, service.admin.authorization.slice('Bearer '.length));
  }, 240_000);
  afterAll(() => service.close());

  it('reads every episode and what it rests on', async () => {
    const episodes = await allEpisodes(client, 'coupling');
    expect(episodes.length).toBeGreaterThan(7);
    expect(new Set(episodes.map(({ episode }) => episode.episodeId)).size).toBe(episodes.length);
    expect(await samplesOf(client, episodes[0]!.episode.episodeId, 'suspensionKpa')).toBeGreaterThan(30);
  });

  it('decides on the gravest anomaly, and finds it in what changed', async () => {
    let { next } = await changesSince(client, undefined);
    for (let more = await changesSince(client, next); more.changes.length > 0; ) {
      next = more.next;
      more = await changesSince(client, next);
    }
    const anomaly = (await gravest(client))!;
    expect(await dismiss(client, anomaly.anomalyId, 'a test')).toBe('dismissed');
    expect((await changesSince(client, next)).changes).toEqual([`reviewed anomaly ${anomaly.anomalyId}`]);
    expect((await gravest(client))?.anomalyId).not.toBe(anomaly.anomalyId);
  });

  it('sends readings, safely again under the same key', async () => {
    const csv = 'time,vehicleId,speedKph\n2026-03-02T11:00:00Z,C-1,12\nnever,C-1,1\n';
    expect(await sendRows(client, csv, 'one')).toMatchObject({ rowsNew: 1, rejected: { time: 1 }, repeated: false });
    expect(await sendRows(client, csv, 'one')).toMatchObject({ rowsNew: 1, repeated: true });
  });

  it('knows a problem by its type', async () => {
    expect(await problemOfUnknown(client, 'nothing')).toBe('/problems/not-found');
  });
});
