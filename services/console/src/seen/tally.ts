/**
 * How often each check was judged and how, over a stretch of days: counts with intervals, never a rank. What was missed is told as a
 * share of what could be judged, and only where enough was seen for the share to say something.
 */
import { type Proportion, wilson } from '@gearhold/rates';
import type { JudgedCheck } from '../server/messages.ts';

const dayMs = 86_400_000;
const spanDays = 90;
const partDays = 30;
export const parts = spanDays / partDays;

/** An interval wider than half of all there could be tells nothing. */
const widestTelling = 0.5;

export interface CheckTally {
  readonly check: string;
  readonly met: number;
  readonly missed: number;
  readonly undetermined: number;
  /** Missed and judged by stretches of 30 days, the latest first. */
  readonly byPart: readonly { readonly missed: number; readonly judged: number }[];
  /** Missed as a share of judged, with its 95 % interval; null where too little was seen to tell. */
  readonly share: Proportion | null;
}

/** A tally a check, in the order in which `order` names them; checks that were never asked are left out. */
export function tallyOf(checks: readonly JudgedCheck[], endMs: number, order: readonly string[]): CheckTally[] {
  const byCheck = Map.groupBy(checks, ({ check }) => check);
  const names = [...byCheck.keys()].sort((a, b) => placeOf(order, a) - placeOf(order, b) || (a < b ? -1 : 1));
  return names
    .map((check) => {
      const all = byCheck.get(check)!;
      const times = (outcome: string) => all.filter((one) => one.outcome === outcome).length;
      const [met, missed] = [times('met'), times('missed')];
      const byPart = Array.from({ length: parts }, () => ({ missed: 0, judged: 0 }));
      for (const { outcome, loadTransferTime } of all) {
        const part = byPart[Math.floor((endMs - Date.parse(loadTransferTime)) / (partDays * dayMs))];
        if (part === undefined || (outcome !== 'met' && outcome !== 'missed')) continue;
        part.judged += 1;
        if (outcome === 'missed') part.missed += 1;
      }
      const share = wilson(missed, met + missed);
      const tells = share !== null && share.high - share.low <= widestTelling;
      return { check, met, missed, undetermined: times('undetermined'), byPart, share: tells ? share : null };
    })
    .filter(({ met, missed, undetermined }) => met + missed + undetermined > 0);
}

function placeOf(order: readonly string[], check: string): number {
  const place = order.indexOf(check);
  return place === -1 ? order.length : place;
}

/** `25 %, most likely 9 to 53 %` */
export function shareText({ share, low, high }: Proportion): string {
  const percent = (part: number) => Math.round(part * 100);
  return `${percent(share)}\u00a0%, most likely ${percent(low)} to ${percent(high)}\u00a0%`;
}

/** The start of the stretch that ends with the newest check. */
export function spanStartMs(endMs: number): number {
  return endMs - spanDays * dayMs;
}
