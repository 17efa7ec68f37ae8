/**
 * What a service does all the time: analyse what arrived, mail what is urgent, tell the webhooks, deliver what is due. A round begins as soon as somebody
 * says that readings were stored, and at least every so often; two never overlap. It is the code of the nightly batch, so that what
 * the stream says is what the night says afterwards.
 */
import type { Engine } from '@gearhold/store';
import { analyseDirty } from '../analysis/index.ts';
import { type DutyOutcome, type DutyPlace, sendDutyMails } from '../duty/index.ts';
import { type AnomalyMessage, type DeliverOptions, deliverDue, fanOut } from '../notify/index.ts';

/** Readings older than this on arrival alarm nobody, ms. */
const lateMs = 24 * 3_600_000;
/** A round begins at least so often, ms. */
const everyMs = 1000;

export interface LiveOptions {
  readonly store: Engine;
  /** IANA name of the fleet's zone. */
  readonly zone: string;
  readonly message: AnomalyMessage;
  readonly deliver: DeliverOptions;
  /** Who is mailed at once of what is urgent; null: nobody. */
  readonly duty: DutyPlace | null;
  /** Told of what a round did, and of what kept it from ending. */
  readonly onRound?: (round: Round) => void;
  readonly onDutyMail?: (outcome: DutyOutcome) => void;
  readonly onFailure?: (error: unknown) => void;
}

export interface Round {
  readonly vehicles: number;
  readonly rows: number;
  readonly episodes: number;
  readonly tried: number;
  readonly ms: number;
}

export class LiveLoop {
  readonly #options: LiveOptions;
  readonly #stop = new AbortController();
  #wake: (() => void) | null = null;
  #woken = false;
  #running: Promise<void> | null = null;
  /** A mail server may keep silent for minutes: what arrives is analysed all the same. */
  #mailing: Promise<void> | null = null;

  constructor(options: LiveOptions) {
    this.#options = options;
  }

  start(): void {
    this.#running ??= this.#run();
  }

  /** Readings were stored: the next round begins at once. */
  wake(): void {
    this.#woken = true;
    this.#wake?.();
  }

  /** Ends after the vehicle at work; what is left is due at the next start. */
  async stop(): Promise<void> {
    this.#stop.abort();
    this.#wake?.();
    await this.#running;
    await this.#mailing;
  }

  async #run(): Promise<void> {
    const { signal } = this.#stop;
    while (!signal.aborted) {
      this.#woken = false;
      try {
        await this.#round(signal);
      } catch (error) {
        this.#options.onFailure?.(error);
      }
      if (!signal.aborted && !this.#woken) await this.#rest();
    }
  }

  async #round(signal: AbortSignal): Promise<void> {
    const { store, zone, message, deliver, onRound } = this.#options;
    const nowMs = deliver.nowMs();
    const started = performance.now();
    const analysed = await analyseDirty(store, { zone, nowMs, lateBeforeMs: nowMs - lateMs, signal });
    this.#mail(signal);
    while (await fanOut(store, message, deliver.nowMs())) if (signal.aborted) return;
    const tried = await deliverDue(store, deliver);
    const { added, changed, withdrawn, returned } = analysed.episodes;
    onRound?.({
      vehicles: analysed.vehicles,
      rows: analysed.rows,
      episodes: added + changed + withdrawn + returned,
      tried,
      ms: performance.now() - started,
    });
  }

  /** Begins to mail what is urgent, where nobody is at it. */
  #mail(signal: AbortSignal): void {
    const { store, zone, duty, deliver, onDutyMail, onFailure } = this.#options;
    if (duty === null || this.#mailing !== null) return;
    this.#mailing = sendDutyMails(store, { place: duty, zone, now: deliver.nowMs, signal })
      .then((outcomes) => {
        for (const outcome of outcomes) onDutyMail?.(outcome);
      })
      .catch((error: unknown) => onFailure?.(error))
      .finally(() => {
        this.#mailing = null;
      });
  }

  #rest(): Promise<void> {
    const { promise, resolve } = Promise.withResolvers<void>();
    const timer = setTimeout(resolve, everyMs);
    this.#wake = () => {
      clearTimeout(timer);
      resolve();
    };
    return promise;
  }
}
