/** The log of who read a driver's evidence and who changed what. Rows are added and never changed. */
import type { Statements } from '../engine/engine.ts';
import { instant, instantOrNull } from '../engine/values.ts';

export interface Actor {
  readonly kind: 'token' | 'person' | 'service';
  readonly id: string;
  readonly name: string;
}

export interface AuditEntry {
  readonly auditId: number;
  readonly atMs: number;
  readonly whoKind: Actor['kind'];
  readonly whoId: string;
  readonly whoName: string;
  readonly action: string;
  readonly subject: string;
  /** JSON text. */
  readonly detail: string;
}

export async function noteAudit(
  store: Statements,
  atMs: number,
  who: Actor,
  action: string,
  subject: string,
  detail: Readonly<Record<string, unknown>> = {},
): Promise<void> {
  await store.query(
    `insert into audit (at, who_kind, who_id, who_name, action, subject, detail) values ($1, $2, $3, $4, $5, $6, $7)`,
    [instant(atMs), who.kind, who.id, who.name, action, subject, JSON.stringify(detail)],
  );
}

export interface AuditFilter {
  readonly sinceMs?: number | undefined;
  readonly untilMs?: number | undefined;
  readonly subject?: string | undefined;
  readonly who?: string | undefined;
}

/** Entries, the newest first, from before one on. */
export function auditEntries(
  store: Statements,
  filter: AuditFilter,
  beforeId: number | null,
  limit: number,
): Promise<AuditEntry[]> {
  return store.query<AuditEntry>(
    `select audit_id as "auditId", at as "atMs", who_kind as "whoKind", who_id as "whoId", who_name as "whoName", action,
            subject, detail
     from audit
     where ($1::bigint is null or audit_id < $1)
       and ($2::timestamptz is null or at >= $2)
       and ($3::timestamptz is null or at < $3)
       and ($4::text is null or subject = $4)
       and ($5::text is null or who_id = $5)
     order by audit_id desc limit $6`,
    [
      beforeId,
      instantOrNull(filter.sinceMs ?? null),
      instantOrNull(filter.untilMs ?? null),
      filter.subject ?? null,
      filter.who ?? null,
      limit,
    ],
  );
}
