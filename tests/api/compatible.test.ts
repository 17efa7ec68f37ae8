/** The committed document keeps what `schemas/promised.json` promised. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type ApiDocument, committedDocument } from './committed.ts';
import { brokenPromises, promiseOf } from './compatible.ts';

const promised: ApiDocument = JSON.parse(
  readFileSync(join(import.meta.dirname, '../../schemas/promised.json'), 'utf8'),
);

it('nothing that was promised is broken', () => {
  expect(brokenPromises(promised, committedDocument())).toEqual([]);
});

it('everything is promised; else run npm run schemas:promise', () => {
  expect(promiseOf(committedDocument())).toBe(promiseOf(promised));
});

// biome-ignore lint/suspicious/noExplicitAny: the changes name parts of the document by path, some against its type
type Loose = any;

/** What is broken by a change to the document. */
function changed(change: (document: Loose) => void): string[] {
  const document = structuredClone(committedDocument());
  change(document);
  return brokenPromises(promised, document);
}

describe('a break is seen:', () => {
  it.each<[string, (document: Loose) => void, RegExp]>([
    ['an address removed', (d) => delete d.paths['/v1/episodes'], /^GET \/v1\/episodes: is gone/],
    [
      'a field of an answer removed',
      (d) => delete d.components.schemas.Anomaly.properties.severity,
      /\.severity: is gone/,
    ],
    [
      'a field of an answer renamed',
      (d) => {
        const { properties } = d.components.schemas.StoredEpisode;
        properties.version = properties.revision;
        delete properties.revision;
      },
      /\.revision: is gone/,
    ],
    [
      'a field of an answer with another type',
      (d) => (d.components.schemas.Anomaly.properties.confidence.type = 'string'),
      /\.confidence: was number, is string/,
    ],
    [
      'a field of an answer that may be null now',
      (d) => (d.components.schemas.Anomaly.properties.kind.type = ['string', 'null']),
      /\.kind: was string, is string or null/,
    ],
    [
      'a field of an answer that may be left out now',
      (d) => d.components.schemas.Vehicle.required.splice(0, 1),
      /\.vehicleId: may be left out now/,
    ],
    [
      'a time in another form',
      (d) => (d.components.schemas.Anomaly.properties.firstSeenTime.format = 'date'),
      /format was date-time, is date/,
    ],
    [
      'a new parameter that is required',
      (d) => d.paths['/v1/checks'].get.parameters.push({ name: 'zone', in: 'query', required: true, schema: {} }),
      /query zone: is new and required/,
    ],
    [
      'a parameter removed',
      (d) => d.paths['/v1/checks'].get.parameters.shift(),
      /^GET \/v1\/checks query \w+: is gone/,
    ],
    [
      'a new field of a body that is required',
      (d) => d.components.schemas.NewToken.required.push('zone'),
      /\.zone: is new/,
    ],
    [
      'a field of a body required that was not',
      (d) => d.components.schemas.NewReview.required.push('note'),
      /\.note: is required now/,
    ],
    [
      'a narrower choice in a body',
      (d) => {
        const actions = d.components.schemas.ReviewAction.enum;
        actions.splice(actions.indexOf('dismiss'), 1);
        d.components.schemas.ReviewActionInput?.enum.shift();
      },
      /"\w+" is gone/,
    ],
    [
      'a lower limit',
      (d) => (d.components.schemas.NewReview.properties.anomalyIds.maxItems = 10),
      /maxItems was 200, is 10/,
    ],
    [
      'another default',
      (d) => {
        for (const parameter of d.paths['/v1/episodes'].get.parameters) {
          if (parameter.name === 'state') parameter.schema.default = 'any';
        }
      },
      /state: has another default/,
    ],
    [
      'an operation under another name',
      (d) => (d.paths['/v1/checks'].get.operationId = 'checks'),
      /listChecks is gone/,
    ],
    ['an answer with another status', (d) => delete d.paths['/v1/tokens'].post.responses['201'], /201: is gone/],
    [
      'a format of an answer removed',
      (d) => delete d.paths['/v1/episodes'].get.responses['200'].content['text/csv'],
      /text\/csv: is gone/,
    ],
    ['a token that no longer opens', (d) => (d.paths['/v1/checks'].get.security = [{ session: [] }]), /token is gone/],
  ])('%s', (_, change, expected) => {
    expect(changed(change).join('\n')).toMatch(expected);
  });
});

describe('an addition is none:', () => {
  it.each<[string, (document: Loose) => void]>([
    ['an address', (d) => (d.paths['/v1/new'] = structuredClone(d.paths['/v1/sites']))],
    ['a field of an answer', (d) => (d.components.schemas.Anomaly.properties.more = { type: 'string' })],
    ['an outcome', (d) => d.components.schemas.CaseState.enum.push('another')],
    [
      'an optional parameter',
      (d) => d.paths['/v1/checks'].get.parameters.push({ name: 'zone', in: 'query', schema: { type: 'string' } }),
    ],
    ['an optional field of a body', (d) => (d.components.schemas.NewToken.properties.zone = { type: 'string' })],
    ['a higher limit', (d) => (d.components.schemas.NewReview.properties.anomalyIds.maxItems = 1000)],
    ['a field of an answer that is always there now', (d) => d.components.schemas.Problem.required.push('errors')],
    ['another description', (d) => (d.components.schemas.Anomaly.properties.severity.description = 'other words')],
  ])('%s', (_, change) => {
    expect(changed(change)).toEqual([]);
  });
});
