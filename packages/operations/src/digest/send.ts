/**
 * The mails of a day: each recipient gets at most one. Whoever calls this may be killed anywhere and called again: what was not handed
 * over goes out then, what was handed over and not answered is told of and left alone, and what was refused is tried again, for some
 * days.
 */
import type { Recipient } from '@gearhold/schemas';
import {
  type DigestRecord,
  digestBefore,
  digestsNotSent,
  digestsOf,
  type Engine,
  handOverDigest,
  intendDigest,
  settleDigest,
} from '@gearhold/store';
import { type DayWindow, dayAfter, dayWindow } from '../day/window.ts';
import { digestContent } from './content.ts';
import type { Courier, Delivery } from './courier.ts';
import type { DayFacts } from './facts.ts';
import { composeMail, messageIdOf } from './message.ts';
import { readDayFacts, readEarlierFacts } from './read-facts.ts';

export interface DigestOutcome {
  /** `2026-03-02` */
  readonly day: string;
  readonly recipient: string;
  /** `written`: to a file, since no mail server is configured; `before`: it went out in an earlier run. */
  readonly state: 'sent' | 'written' | 'before' | 'unknown' | 'refused';
  /** The file it was written to. */
  readonly path: string | null;
  /** Why it was refused or is in doubt, without a secret. */
  readonly problem: string | null;
}

export interface SendOptions {
  readonly recipients: readonly Recipient[];
  readonly courier: Courier;
  readonly from: string;
  readonly consoleUrl: string | null;
  readonly now: () => number;
}

/** Days for which a refused mail is tried again: later nobody wants it. */
const daysTriedAgain = 3;

/** Sends the digest of a day, after those of the days just before it that were refused or not handed over; tells of those in doubt. */
export async function sendDigests(engine: Engine, window: DayWindow, options: SendOptions): Promise<DigestOutcome[]> {
  const outcomes: DigestOutcome[] = [];
  const round = new Round(engine, options);
  const first = dayAfter(window.day, -daysTriedAgain);
  const left = (await digestsNotSent(engine)).filter(({ day }) => day >= first && day < window.day);
  for (const [day, ofDay] of Map.groupBy(left, (record) => record.day)) {
    const again = options.recipients.filter(({ address }) => ofDay.some(({ recipient }) => recipient === address));
    outcomes.push(...(await round.day(dayWindow(day, window.zone), again)));
  }
  outcomes.push(...(await round.day(window, options.recipients)));
  return outcomes;
}

/** Sends again what may not have arrived, because somebody asked and knows that a second copy may be the price. */
export function resendDigests(
  engine: Engine,
  window: DayWindow,
  options: SendOptions,
  addresses: readonly string[] | 'all',
): Promise<DigestOutcome[]> {
  const chosen = options.recipients.filter(({ address }) => addresses === 'all' || addresses.includes(address));
  return new Round(engine, options).day(window, chosen, ['unknown', 'intended', 'refused']);
}

class Round {
  readonly #engine: Engine;
  readonly #options: SendOptions;
  /** Why the server cannot be reached: then it is not asked again for each of the others. */
  #unreachable: string | null = null;

  constructor(engine: Engine, options: SendOptions) {
    this.#engine = engine;
    this.#options = options;
  }

  async day(
    window: DayWindow,
    recipients: readonly Recipient[],
    from?: readonly DigestRecord['state'][],
  ): Promise<DigestOutcome[]> {
    if (recipients.length === 0) return [];
    const known = new Map((await digestsOf(this.#engine, window.day)).map((record) => [record.recipient, record]));
    const outcomes: DigestOutcome[] = [];
    // The facts are the same for all of a day, and read only where a mail is to be sent.
    const readMs = this.#options.now();
    let facts: DayFacts | null = null;
    for (const recipient of recipients) {
      const record = known.get(recipient.address);
      const settled = record !== undefined && !(from ?? ['intended', 'refused']).includes(record.state);
      if (settled) {
        outcomes.push(outcomeBefore(record));
        continue;
      }
      facts ??= await readDayFacts(this.#engine, window);
      outcomes.push(await this.#send(facts, recipient, readMs, from));
    }
    return outcomes;
  }

  async #send(
    facts: DayFacts,
    recipient: Recipient,
    readMs: number,
    from: readonly DigestRecord['state'][] | undefined,
  ): Promise<DigestOutcome> {
    const { courier, now, consoleUrl } = this.#options;
    const { day } = facts.window;
    const address = { from: this.#options.from, to: recipient.address, occasion: day };
    const before = await digestBefore(this.#engine, day, recipient.address);
    const earlier = await readEarlierFacts(this.#engine, facts.window, before?.intendedMs ?? null);
    const mail = await composeMail(address, digestContent(facts, earlier, recipient, { consoleUrl }), readMs);
    const digest = { day, recipient: recipient.address, messageId: messageIdOf(address) };
    const attempt = await intendDigest(this.#engine, digest, readMs, from);
    if (attempt === null) return outcomeOf(day, recipient, { state: 'overtaken' });
    const handOver = () => handOverDigest(this.#engine, attempt, now());
    const delivery = this.#refusedBefore() ?? (await courier.deliver(mail, handOver));
    if (delivery.state === 'refused' && !delivery.reached) this.#unreachable = delivery.problem;
    if (delivery.state !== 'overtaken') {
      const problem = delivery.state === 'sent' ? null : delivery.problem;
      await settleDigest(this.#engine, attempt, delivery.state, problem, now());
    }
    return outcomeOf(day, recipient, delivery);
  }

  #refusedBefore(): Delivery | null {
    return this.#unreachable === null ? null : { state: 'refused', problem: this.#unreachable, reached: false };
  }
}

function outcomeBefore({ day, recipient, state, problem }: DigestRecord): DigestOutcome {
  if (state === 'unknown') return { day, recipient, state, path: null, problem };
  return { day, recipient, state: 'before', path: null, problem: null };
}

function outcomeOf(day: string, { address }: Recipient, delivery: Delivery): DigestOutcome {
  const outcome = { day, recipient: address, path: null, problem: null };
  if (delivery.state === 'overtaken') {
    return { ...outcome, state: 'unknown', problem: 'another run is sending it at the same time' };
  }
  if (delivery.state !== 'sent') return { ...outcome, state: delivery.state, problem: delivery.problem };
  return { ...outcome, state: delivery.path === null ? 'sent' : 'written', path: delivery.path };
}
