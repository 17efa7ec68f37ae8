/** The checks of somebody or some place over the last 90 days that were seen: newest first, at most ten thousand. */
import { ask, withQuery } from '../server/ask.ts';
import type { JudgedCheck, Page } from '../server/messages.ts';
import { spanStartMs } from './tally.ts';

const pageSize = 1000;
const mostPages = 10;

export interface Gathered {
  readonly checks: readonly JudgedCheck[];
  /** Load transfer of the newest, ms; null where there is none. */
  readonly endMs: number | null;
  /** Whether there were more than could be gathered: then the stretch is shorter than 90 days. */
  readonly cut: boolean;
}

export type SeenBy = Readonly<Partial<Record<'vehicle' | 'driver' | 'site', string>>>;

/** @throws Refusal */
export async function gatherChecks(by: SeenBy): Promise<Gathered> {
  const checks: JudgedCheck[] = [];
  let cursor: string | undefined;
  for (let pages = 0; pages < mostPages; pages++) {
    const page = await ask<Page<JudgedCheck>>('GET', withQuery('/v1/checks', { ...by, limit: pageSize, cursor }));
    checks.push(...page.items);
    const newest = checks[0];
    if (newest === undefined) return { checks, endMs: null, cut: false };
    const endMs = Date.parse(newest.loadTransferTime);
    const startMs = spanStartMs(endMs);
    const reached = Date.parse(checks.at(-1)!.loadTransferTime) <= startMs;
    if (reached || page.nextCursor === null) {
      return { checks: checks.filter((check) => Date.parse(check.loadTransferTime) > startMs), endMs, cut: false };
    }
    cursor = page.nextCursor;
  }
  return { checks, endMs: Date.parse(checks[0]!.loadTransferTime), cut: true };
}
