/** The committed OpenAPI document: the one that is served, and sound by the rules that the trade checks documents with. */
import spectral, { type RulesetDefinition } from '@stoplight/spectral-core';
import owasp from '@stoplight/spectral-owasp-ruleset';
import rulesets from '@stoplight/spectral-rulesets';
import { describe, expect, it } from 'vitest';
import { describedText } from '../../services/api/src/document/text.ts';
import { committedDocument, committedText, operationsOf } from './committed.ts';

/** Rules that are wrong for us, each with why; every other rule holds everywhere. */
const exceptions: Readonly<Record<string, { readonly where: readonly string[]; readonly why: string }>> = {
  'owasp:api2:2023-no-credentials-in-url': {
    where: ['/v1/webhooks/{webhookId}/secrets/{secretId}', '/v1/tokens/{tokenId}'],
    why: 'these are ids of a secret and a token, which open nothing; the rule goes by the name of the parameter',
  },
  'owasp:api2:2023-write-restricted': {
    where: ['/v1/session'],
    why: 'signing in is how somebody comes to be signed in; it is limited by rate and locked after wrong passwords',
  },
  'owasp:api8:2023-define-cors-origin': {
    where: [''],
    why: 'no page of another origin may call: without the header a browser refuses, which is what we want',
  },
};

const isError = ({ severity }: { severity: number }) => severity === 0;

async function errorsOf(text: string): Promise<string[]> {
  const checker = new spectral.Spectral();
  const definition = {
    extends: [
      [rulesets.oas, 'recommended'],
      [owasp as unknown as RulesetDefinition, 'recommended'],
    ],
  };
  checker.setRuleset(definition as RulesetDefinition);
  const found = await checker.run(text);
  return found
    .filter(isError)
    .filter(({ code, path }) => {
      const exception = exceptions[String(code)];
      return exception === undefined || !exception.where.some((where) => where === '' || path[1] === where);
    })
    .map(({ code, path, message }) => `${code} at ${path.join('/')}: ${message}`);
}

it('is what the routes say; else run npm run schemas', async () => {
  expect(await describedText()).toBe(committedText());
});

describe('by the OpenAPI and OWASP rule sets of Spectral', () => {
  it('has no error', async () => {
    expect((await errorsOf(committedText())).slice(0, 20)).toEqual([]);
  });

  it('would have one for a text without limit, or an operation that nobody guards', async () => {
    const document = JSON.parse(committedText());
    delete document.components.schemas.Problem.properties.detail.maxLength;
    document.paths['/v1/tokens'].post.security = [];
    const errors = (await errorsOf(JSON.stringify(document))).join('\n');
    expect(errors).toMatch(/string-limit at .*detail/);
    expect(errors).toMatch(/write-restricted at paths.\/v1\/tokens\/post/);
  });
});

it('groups every operation, and names each once', () => {
  const document = committedDocument();
  const operations = operationsOf(document).map(({ operation }) => operation);
  const tags = new Set((document as unknown as { tags: { name: string }[] }).tags.map(({ name }) => name));
  for (const { operationId, tags: own } of operations) expect(tags, operationId).toContain(own[0]);
  expect(tags).toEqual(new Set(operations.map(({ tags: own }) => own[0])));
  expect(new Set(operations.map(({ operationId }) => operationId)).size).toBe(operations.length);
});
