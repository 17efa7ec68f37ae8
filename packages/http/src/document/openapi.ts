/**
 * The OpenAPI 3.1 document, generated from the zod schemas of the routes as they are registered. What a machine can check of
 * the promise stands in it: the security schemes, the problem that every address may answer with, the limits.
 */
import swagger from '@fastify/swagger';
import type { FastifyInstance } from 'fastify';
import { createJsonSchemaTransform, createJsonSchemaTransformObject } from 'fastify-type-provider-zod';
import { tidied } from './tidy.ts';

export const apiVersion = '1.0.0';

const promise = `Everything that gearhold knows of a fleet's couplings and uncouplings.

**The promise.** Within version 1 changes are additive: new addresses, new optional parameters, new fields, kinds, checks, outcomes
and event types may appear at any time. A consumer ignores what it does not know. What stands here is not renamed, not given another
meaning and not removed.

**Times** are ISO 8601 in UTC with milliseconds. **Units** are those in the field names. \`null\` means not known, which is never zero.

**Cautions.** Data cannot show that a coupling is locked: only a person looking at the fifth wheel can. No verdict here clears a
vehicle to move. The carrier's own procedure, the maker's instructions, local law and qualified technicians come first. An anomaly
opens a conversation; it is not by itself a ground for discipline. What was not seen is never called done.`;

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
      servers: [{ url: '/', description: 'The service that serves this document' }],
      components: {
        securitySchemes: {
          token: { type: 'http', scheme: 'bearer', description: 'A token that an administrator issued' },
          session: { type: 'apiKey', in: 'cookie', name: 'gearhold-session', description: 'Set by signing in' },
        },
      },
      tags: [],
    },
    transform: createJsonSchemaTransform({ skipList: [] }),
    transformObject: (document) => tidied(createJsonSchemaTransformObject({})(document)),
  });
}
