/** Who may: people, sessions, tokens, and the log of who read and changed what. */
import { z } from 'zod';
import { cursor, identifier, limit, pageOf, time, timeGiven } from './parts.ts';

export const scope = z.enum(['read', 'ingest', 'review', 'administer']).meta({
  id: 'Scope',
  description: 'read: look; ingest: send readings; review: decide on anomalies; administer: everything',
});

const grants = {
  scopes: z.array(scope).min(1).max(4),
  terminals: z
    .array(z.string().min(1).max(64))
    .max(200)
    .nullable()
    .meta({ description: 'Terminals whose matters may be seen; null: all' }),
  driverNames: z.boolean().meta({ description: 'Whether drivers are named; else their ids are left out' }),
};

export const newToken = z
  .strictObject({
    name: z.string().trim().min(1).max(100).meta({ description: 'What it is for, for the list and the audit log' }),
    ...grants,
    expiresTime: timeGiven.nullable().default(null),
  })
  .meta({ id: 'NewToken' });

export const token = z
  .object({
    tokenId: z.string(),
    name: z.string(),
    ...grants,
    createdTime: time,
    createdBy: z.string(),
    expiresTime: time.nullable(),
    revokedTime: time.nullable(),
    lastUsedTime: time.nullable(),
  })
  .meta({ id: 'Token' });

export const issuedToken = z
  .object({ ...token.shape, secret: z.string().meta({ description: 'Shown this once; only its hash is kept' }) })
  .meta({ id: 'IssuedToken' });

export const tokenPage = pageOf('TokenPage', token);

export const password = z.string().min(12).max(200);

export const credentials = z
  .strictObject({ login: z.string().min(1).max(100), password: z.string().min(1).max(200) })
  .meta({ id: 'Credentials' });

export const passwordChange = z
  .strictObject({ presentPassword: z.string().min(1).max(200), newPassword: password })
  .meta({ id: 'PasswordChange' });

export const newPerson = z
  .strictObject({
    login: z
      .string()
      .regex(/^[\w.@+-]{1,100}$/)
      .meta({ description: 'What the person signs in with: letters, digits and . @ + - _' }),
    name: z.string().trim().min(1).max(100),
    ...grants,
  })
  .meta({ id: 'NewPerson' });

export const personChange = z
  .strictObject({ name: newPerson.shape.name.optional(), disabled: z.boolean().optional(), ...optional(grants) })
  .meta({ id: 'PersonChange' });

function optional(shape: typeof grants) {
  return {
    scopes: shape.scopes.optional(),
    terminals: shape.terminals.optional(),
    driverNames: shape.driverNames.optional(),
  };
}

export const person = z
  .object({
    personId: z.string(),
    login: z.string(),
    name: z.string(),
    ...grants,
    disabled: z.boolean(),
    mustChangePassword: z.boolean(),
    createdTime: time,
    lastSignInTime: time.nullable(),
  })
  .meta({ id: 'Person' });

export const admittedPerson = z
  .object({ ...person.shape, oneTimePassword: z.string().meta({ description: 'Shown this once' }) })
  .meta({ id: 'AdmittedPerson' });

export const personPage = pageOf('PersonPage', person);

export const session = z
  .object({
    person,
    csrfToken: z.string().meta({ description: 'Send as x-csrf-token with every change made by cookie' }),
    expiresTime: time,
  })
  .meta({ id: 'Session' });

/** Who asks, as a program or a person sees itself. */
export const self = z
  .object({ kind: z.enum(['token', 'person']), id: z.string(), name: z.string(), ...grants })
  .meta({ id: 'Self' });

export const auditEntry = z
  .object({
    entryId: z.string(),
    time,
    who: z.object({ kind: z.enum(['token', 'person', 'service']), id: z.string(), name: z.string() }),
    action: z.string().meta({ description: 'read-evidence, review, issue-token, ... The list is open' }),
    subject: z.string().meta({ description: 'What it was done to, such as episode/ID' }),
    detail: z.record(z.string(), z.unknown()),
  })
  .meta({ id: 'AuditEntry' });

export const auditPage = pageOf('AuditPage', auditEntry);
export const auditQuery = z.strictObject({
  since: timeGiven.optional(),
  until: timeGiven.optional(),
  subject: z.string().min(1).max(200).optional(),
  who: identifier.optional(),
  limit: limit.default(100),
  cursor: cursor.optional(),
});
