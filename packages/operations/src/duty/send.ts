/**
 * Mails of urgent anomalies to the duty address, at once and at most one each. Whoever calls this may be killed anywhere and called
 * again: what was not handed over goes out then, what was handed over and not answered is told of and left alone, and what was refused
 * is tried again for as long as it is news.
 */
import { createHash } from 'node:crypto';
import { Failure } from '@gearhold/shared';
import {
  dutyMailsDue,
  type Engine,
  handOverDutyMail,
  intendDutyMail,
  readEpisode,
  readSites,
  settleDutyMail,
} from '@gearhold/store';
import { dayOf, dayWindow } from '../day/window.ts';
import type { Delivery } from '../digest/courier.ts';
import { composeMail, messageIdOf } from '../digest/message.ts';
import { type UrgentFact, urgentContent } from './content.ts';
import type { DutyPlace } from './place.ts';

export interface DutyOutcome {
  readonly anomalyId: string;
  readonly state: 'sent' | 'unknown' | 'refused';
  /** Why it was refused or is in doubt, without a secret. */
  readonly problem: string | null;
}

export interface DutyOptions {
  readonly place: DutyPlace;
  /** IANA name of the fleet's zone. */
  readonly zone: string;
  readonly now: () => number;
  /** Aborted where the work is to stop before the next mail. */
  readonly signal?: AbortSignal;
}

/** What is older than this alarms nobody, ms. */
const newsMs = 24 * 3_600_000;
/** A refused mail is tried again after this, ms. */
const againMs = 60_000;
const atOnce = 20;

/** Mails what is due, one after the other; nothing where somebody else is at it. */
export async function sendDutyMails(store: Engine, options: DutyOptions): Promise<DutyOutcome[]> {
  const nowMs = options.now();
  const due = await dutyMailsDue(store, nowMs - newsMs, nowMs - againMs, atOnce);
  if (due.length === 0) return [];
  const lock = await store.tryLock('duty');
  if (lock === null) return [];
  try {
    const outcomes: DutyOutcome[] = [];
    for (const anomalyId of due) {
      if (lock.lost.aborted || options.signal?.aborted === true) break;
      const outcome = await sendOne(store, anomalyId, options);
      if (outcome !== null) outcomes.push(outcome);
    }
    return outcomes;
  } finally {
    await lock.release();
  }
}

async function sendOne(
  store: Engine,
  anomalyId: string,
  { place, zone, now }: DutyOptions,
): Promise<DutyOutcome | null> {
  const readMs = now();
  const fact = await readFact(store, anomalyId, zone);
  if (fact === null) return null;
  const occasion = `urgent-${createHash('sha256').update(anomalyId).digest('hex').slice(0, 16)}`;
  const address = { from: place.mail.from, to: place.address, occasion };
  const mail = await composeMail(address, urgentContent(fact, place), readMs);
  const attempt = await intendDutyMail(
    store,
    { anomalyId, recipient: place.address, messageId: messageIdOf(address) },
    readMs,
  );
  if (attempt === null) return null;
  const handOver = () => handOverDutyMail(store, attempt, now());
  const delivery = await place.mail.courier.deliver(mail, handOver).catch((error: unknown): Delivery => {
    // A folder that cannot be written to has nothing of it.
    if (!(error instanceof Failure)) throw error;
    return { state: 'refused', problem: error.message, reached: false };
  });
  if (delivery.state === 'overtaken') return null;
  const problem = delivery.state === 'sent' ? null : delivery.problem;
  await settleDutyMail(store, attempt, delivery.state, problem, now());
  return { anomalyId, state: delivery.state, problem };
}

/** Null where the anomaly is proven no more. */
async function readFact(store: Engine, anomalyId: string, zone: string): Promise<UrgentFact | null> {
  const [episodeId, name] = anomalyId.split('/') as [string, string];
  const episode = await readEpisode(store, episodeId);
  if (episode === null || episode.state !== 'active') return null;
  const { wire } = episode;
  const check = wire.checks.find((one) => one.check === name && one.outcome === 'missed');
  if (check === undefined) return null;
  const window = dayWindow(dayOf(episode.loadTransferMs, zone), zone);
  return { wire, check, window, sites: await readSites(store) };
}
