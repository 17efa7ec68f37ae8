/** What a person decides on when they decide on an anomaly, as one short fingerprint: equal exactly where the check says the same. */
import { createHash } from 'node:crypto';

/** The parts of a check that a decision rests on. */
export interface Judged {
  readonly outcome: string;
  readonly measured: { readonly low: number | null; readonly high: number | null; readonly unit: string } | null;
  readonly limit: Readonly<Record<string, number | string>>;
  readonly withdrawn: boolean;
}

export function judgedFingerprint({ outcome, measured, limit, withdrawn }: Judged): string {
  const limits = Object.entries(limit).sort(([a], [b]) => (a < b ? -1 : 1));
  const parts = [outcome, measured && [measured.low, measured.high, measured.unit], limits, withdrawn];
  return createHash('sha256').update(JSON.stringify(parts)).digest('base64url').slice(0, 16);
}
