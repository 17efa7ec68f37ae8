/**
 * The OpenAPI 3.1 document, generated from the zod schemas of the routes as they are registered. What a machine can check of
 * the promise stands in it: the security schemes, the problem that every address may answer with, the limits.
 */
import swagger from '@fastify/swagger';
import type { FastifyInstance } from 'fastify';
import { createJsonSchemaTransform, createJsonSchemaTransformObject } from 'fastify-type-provider-zod';
import { type AnsweringDocument, describeAnswers } from './answers.ts';
import { bodyLimit, bounded, streamedBodyLimit } from './limits.ts';
import { tidied } from './tidy.ts';

export const apiVersion = '1.0.0';

const promise = `Everything that gearhold knows of a fleet's couplings and uncouplings.

**The promise.** Within version 1 changes are additive: new addresses, new optional parameters, new fields, kinds, checks, outcomes
and event types may appear at any time. A consumer ignores what it does not know. What stands here is not renamed, not given another
meaning and not removed.

**Times** are ISO 8601 in UTC with milliseconds. **Units** are those in the field names. \`null\` means not known, which is never zero.

**Limits.** A body has at most ${bodyLimit.toLocaleString('en-US')} bytes unless its address says otherwise. No text has more characters,
and no list more entries, than that; most have fewer, and say so. Requests of one address are counted by the minute; every answer
tells what is left.

**Cautions.** Data cannot show that a coupling is locked: only a person looking at the fifth wheel can. No verdict here clears a
vehicle to move. The carrier's own procedure, the maker's instructions, local law and qualified technicians come first. An anomaly
opens a conversation; it is not by itself a ground for discipline. What was not seen is never called done.`;

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Schemas of a body that is read as it arrives, by media type. */
    bodies?: Readonly<Record<string, object>>;
  }
}

const fromZod = createJsonSchemaTransform({ skipList: [] });

function streamedBodies(bodies: Readonly<Record<string, object>>) {
  const limits = { maxLength: streamedBodyLimit, maxItems: streamedBodyLimit };
  return Object.fromEntries(
    Object.entries(bodies).map(([type, schema]) => {
      const limit = 'items' in schema ? 'maxItems' : 'maxLength';
      return [type, { schema: { [limit]: limits[limit], ...schema } }];
    }),
  );
}

/** What operations are grouped by; one that names another group is found by a test. */
const tags = [
  ['Anomalies', 'What the data prove to have been missed, and what people decided on it'],
  ['Audit', 'Who read the evidence of a driver, and who changed what'],
  ['Changes', 'Everything that changed since a position, so that a copy can stay exact'],
  ['Checks', 'Every check of every episode, whatever its outcome'],
  ['Digests', 'The daily mails and their fate'],
  ['Drivers', 'Drivers and the terminals that they belong to'],
  ['Episodes', 'Couplings and uncouplings, with the readings that they rest on'],
  ['Files', 'Files and batches that came in, and the rows that were rejected'],
  ['People', 'People who may sign in'],
  ['Policies', 'What the procedure asks: drafted, compared, put in force'],
  ['Readings', 'Readings of trucks, sent in batches'],
  ['Session', 'Signing in and out, and who asks'],
  ['Sites', 'Places that the fleet knows'],
  ['Source profiles', "How somebody else's files map onto readings"],
  ['Tokens', 'Tokens of programs'],
  ['Vehicles', 'Trucks: what is stated of them and what was learned'],
  ['Webhooks', 'Addresses that anomalies are told to'],
] as const;

/** Has the document made from every route that is registered after it. */
export async function describeApi(app: FastifyInstance): Promise<void> {
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'gearhold API',
        version: apiVersion,
        description: promise,
        license: { name: 'Apache-2.0', url: 'https://www.apache.org/licenses/LICENSE-2.0' },
        contact: { name: 'Whoever runs this service', url: 'https://example.org/' },
      },
      servers: [
        {
          url: '/',
          description: 'The service that serves this document, in production as in development',
          'x-internal': false,
        } as { url: string },
      ],
      components: {
        securitySchemes: {
          token: { type: 'http', scheme: 'bearer', description: 'A token that an administrator issued' },
          session: { type: 'apiKey', in: 'cookie', name: 'gearhold-session', description: 'Set by signing in' },
        },
      },
      tags: tags.map(([name, description]) => ({ name, description })),
    },
    transform: (route) => {
      const transformed = fromZod(route);
      const bodies = route.route.config?.bodies;
      if (bodies === undefined) return transformed;
      return { ...transformed, schema: { ...transformed.schema, body: { content: streamedBodies(bodies) } } };
    },
    transformObject: (document) => {
      const tidy = tidied(createJsonSchemaTransformObject({})(document));
      describeAnswers(tidy as AnsweringDocument);
      bounded((tidy as AnsweringDocument).paths);
      bounded((tidy as AnsweringDocument).components);
      return tidy;
    },
  });
}
