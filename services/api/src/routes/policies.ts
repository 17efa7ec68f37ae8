/** Policies: drafted, compared with what is in force, and put in force from an instant. What is or was in force is never edited. */
import { type Api, about, type Context, nothing, ProblemError, principalOf, problemAnswers } from '@gearhold/http';
import { builtInPolicy, type Policy, parsePolicy, policyFile, problemSentence } from '@gearhold/policy';
import {
  policyDraft as draftMessage,
  enforcement,
  policyDifference,
  policyPage,
  storedPolicy,
} from '@gearhold/schemas/api';
import {
  dropDraft,
  keepDraft,
  markDirty,
  namePolicy,
  noteAudit,
  noteChanges,
  type PolicyDraft,
  type PolicyInForce,
  policiesInForce,
  policyDraft,
  policyDrafts,
  statePolicy,
} from '@gearhold/store';
import { z } from 'zod';
import { actorOf, iso } from '../access/wire.ts';
import { policyDifferences } from '../matters/policy-difference.ts';

const tags = ['Policies'] as const;
const byId = z.strictObject({ policyId: z.string().regex(/^([0-9a-f]{64}|built-in)$/) });

/** How long ago 'now' may be when it arrives. */
const graceMs = 5 * 60_000;

export function addPolicyRoutes(app: Api, { store, clock }: Context): void {
  async function inForceNow(): Promise<Policy> {
    const held = (await policiesInForce(store)).findLast(({ fromMs }) => fromMs <= clock.now());
    return held === undefined ? builtInPolicy : parsed(JSON.parse(held.document));
  }

  app.get(
    '/v1/policies',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', {
          operationId: 'listPolicies',
          tags,
          summary: 'Policies: in force, to come, past, and drafts',
          description: 'Before the first that was put in force the built-in one holds.',
        }),
        response: { 200: policyPage, ...problemAnswers },
      },
    },
    async () => {
      const held = await policiesInForce(store);
      const drafts = await policyDrafts(store);
      const stated = held.map((policy, at) => wireHeld(policy, held[at + 1]?.fromMs ?? null, clock.now()));
      const opens = held[0] === undefined || held[0].fromMs > Number.NEGATIVE_INFINITY;
      const builtIn = opens ? [wireBuiltIn(held[0]?.fromMs ?? null, clock.now())] : [];
      return { items: [...builtIn, ...stated, ...drafts.map(wireDraft)], nextCursor: null };
    },
  );

  app.post(
    '/v1/policies',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'draftPolicy', tags, summary: 'Draft a policy' }),
        body: draftMessage,
        response: { 201: storedPolicy, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { name, document } = request.body;
      const policy = parsed(document);
      const text = JSON.stringify(policyFile(policy));
      const who = actorOf(principalOf(request));
      const policyId = await store.transaction(async (transaction) => {
        const draft = { name, document: text, createdMs: clock.now(), createdBy: who.name };
        const id = await keepDraft(transaction, draft);
        await noteAudit(transaction, clock.now(), who, 'draft-policy', `policy/${id}`, { name });
        return id;
      });
      reply.code(201).header('location', `/v1/policies/${policyId}`);
      return wireDraft((await policyDraft(store, policyId))!);
    },
  );

  app.get(
    '/v1/policies/:policyId/difference',
    {
      config: { access: 'read' },
      schema: {
        ...about('read', { operationId: 'comparePolicy', tags, summary: 'A draft compared with the policy in force' }),
        params: byId,
        response: { 200: policyDifference, ...problemAnswers },
      },
    },
    async ({ params: { policyId } }) => {
      const draft = await policyDraft(store, policyId);
      if (draft === null) throw new ProblemError('not-found');
      return policyDifferences(await inForceNow(), parsed(JSON.parse(draft.document)));
    },
  );

  app.delete(
    '/v1/policies/:policyId',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', { operationId: 'dropDraft', tags, summary: 'Drop a draft' }),
        params: byId,
        response: { 204: nothing, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { policyId } = request.params;
      if (!(await dropDraft(store, policyId))) {
        const held = (await policiesInForce(store)).some((policy) => policy.policyId === policyId);
        throw new ProblemError(held ? 'policy-in-force' : 'not-found');
      }
      const who = actorOf(principalOf(request));
      await noteAudit(store, clock.now(), who, 'drop-policy', `policy/${policyId}`);
      reply.code(204);
      return undefined;
    },
  );

  app.post(
    '/v1/policies/:policyId/enforcement',
    {
      config: { access: 'administer' },
      schema: {
        ...about('administer', {
          operationId: 'enforcePolicy',
          tags,
          summary: 'Put a draft in force from an instant',
          description: 'Now at the earliest: what happened before stays judged by the policy that held then.',
        }),
        params: byId,
        body: enforcement,
        response: { 201: storedPolicy, ...problemAnswers },
      },
    },
    async (request, reply) => {
      const { policyId } = request.params;
      const fromMs = Date.parse(request.body.validFrom);
      if (fromMs < clock.now() - graceMs) {
        throw new ProblemError(
          'content-unusable',
          'validFrom has passed: a policy is put in force from now on at the earliest.',
          {
            places: [{ in: 'body', pointer: '/validFrom', detail: `expected ${iso(clock.now())} or later` }],
          },
        );
      }
      const who = actorOf(principalOf(request));
      await store.transaction(async (transaction) => {
        const draft = await policyDraft(transaction, policyId);
        if (draft === null) throw new ProblemError('not-found', 'There is no such draft.');
        await statePolicy(transaction, draft.document, fromMs, clock.now());
        await namePolicy(transaction, fromMs, draft.name, who.name);
        await dropDraft(transaction, policyId);
        await markDirty(transaction, fromMs, 'all');
        await noteAudit(transaction, clock.now(), who, 'enforce-policy', `policy/${policyId}`, { ...request.body });
        const change = { subject: 'policy', subjectId: policyId, change: 'changed', revision: 0 } as const;
        await noteChanges(transaction, [change], clock.now());
      });
      const held = await policiesInForce(store);
      const at = held.findIndex((policy) => policy.fromMs === fromMs);
      reply.code(201);
      return wireHeld(held[at]!, held[at + 1]?.fromMs ?? null, clock.now());
    },
  );
}

/** @throws ProblemError `content-unusable` with every place that is wrong */
function parsed(document: unknown): Policy {
  const result = parsePolicy(document);
  if ('policy' in result) return result.policy;
  const places = result.problems.map(({ path, expected }) => ({
    in: 'body' as const,
    pointer: `/document/${path.replaceAll(/[.[]/g, '/').replaceAll(']', '')}`,
    detail: `expected ${expected}`,
  }));
  throw new ProblemError('content-unusable', problemSentence(result.problems[0]!), { places });
}

function wireDraft(draft: PolicyDraft) {
  return {
    policyId: draft.policyId,
    name: draft.name,
    state: 'draft' as const,
    validFrom: null,
    validUntil: null,
    createdTime: iso(draft.createdMs),
    createdBy: draft.createdBy,
    document: JSON.parse(draft.document) as Record<string, unknown>,
  };
}

function wireHeld(policy: PolicyInForce, untilMs: number | null, nowMs: number) {
  return {
    policyId: policy.policyId,
    name: policy.name ?? 'policy file',
    state: stateAt(policy.fromMs, untilMs, nowMs),
    validFrom: Number.isFinite(policy.fromMs) ? iso(policy.fromMs) : null,
    validUntil: untilMs === null ? null : iso(untilMs),
    createdTime: iso(policy.statedMs),
    createdBy: policy.statedBy,
    document: JSON.parse(policy.document) as Record<string, unknown>,
  };
}

function wireBuiltIn(untilMs: number | null, nowMs: number) {
  return {
    policyId: 'built-in',
    name: 'built-in',
    state: stateAt(Number.NEGATIVE_INFINITY, untilMs, nowMs),
    validFrom: null,
    validUntil: untilMs === null ? null : iso(untilMs),
    createdTime: iso(0),
    createdBy: null,
    document: policyFile(builtInPolicy) as Record<string, unknown>,
  };
}

function stateAt(fromMs: number, untilMs: number | null, nowMs: number) {
  if (fromMs > nowMs) return 'scheduled' as const;
  return untilMs !== null && untilMs <= nowMs ? ('past' as const) : ('in-force' as const);
}
