/** What somebody should look at after a night, and what to do about each: the runbook's page has the same name as the code. */
import { rejectReasons } from '@gearhold/signals';
import type { Attention, AttentionCode, NightOutcome } from './outcome.ts';

const namesShown = 8;

/** @param unknown files of the inbox whose name promises no format that is known */
export function attentionOf(night: Omit<NightOutcome, 'attention'>, unknown: readonly string[]): Attention[] {
  const found: Attention[] = [];
  const say = (code: AttentionCode, sentence: string) => found.push({ code, sentence });
  for (const { digests } of night.days) {
    for (const { day, recipient, state, problem } of digests) {
      const why = problem === null ? '' : ` (${problem})`;
      if (state === 'unknown') {
        say(
          'mail-unknown',
          `nobody knows whether ${recipient} has the digest of ${day}${why}: ask, and if not, run gearhold digest resend.`,
        );
      }
      if (state === 'refused') {
        say('mail-refused', `the digest of ${day} was refused for ${recipient}${why}: the next run tries again.`);
      }
    }
  }
  for (const { outcome, problem } of night.files) if (outcome === 'failed') say('file-unreadable', `${problem}.`);
  if (unknown.length > 0) {
    const sentence = `the inbox holds ${listed(unknown)}, whose format its name does not tell: expected .csv, .ndjson, .jsonl or .json, each also with .gz.`;
    say('file-unknown', sentence);
  }
  for (const { name, outcome, report } of night.files) {
    if (outcome === 'known' || report.rowsRejected === 0) continue;
    const reasons = Object.entries(report.rejected).filter(([, count]) => count > 0);
    const [reason, count] = reasons.sort((a, b) => b[1] - a[1])[0]!;
    const most = `${count} because ${rejectReasons[reason as keyof typeof rejectReasons]}`;
    say(
      'rejects',
      `${name}: ${report.rowsRejected} of ${report.rowsRead} rows were rejected, ${most}; they are kept in the store.`,
    );
  }
  for (const { window, heard, silent } of night.days) {
    if (heard === 0) say('no-readings', `no reading of ${window.day} has come: see whether the files were sent.`);
    else if (silent.length > 0) {
      const verb = silent.length === 1 ? 'sent' : 'have sent';
      say('silent-trucks', `${listed(silent)} ${verb} nothing on ${window.day}, and did in the two weeks before.`);
    }
  }
  return found;
}

function listed(names: readonly string[]): string {
  const shown = names.slice(0, namesShown);
  const more = names.length - shown.length;
  return more > 0 ? `${shown.join(', ')} and ${more} more` : shown.join(', ');
}
