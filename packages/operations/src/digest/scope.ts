/** Which part of a day a recipient is told of. */
import type { WireCheck } from '@gearhold/policy';
import type { Recipient } from '@gearhold/schemas';
import type { DayFacts, EpisodeFact, TruckFact } from './facts.ts';

export class Scope {
  readonly #recipient: Recipient;

  constructor(recipient: Recipient) {
    this.#recipient = recipient;
  }

  /** Episodes at a recipient's terminals, or with a truck of theirs. */
  episodes({ episodes }: DayFacts): readonly EpisodeFact[] {
    return episodes.filter(({ terminal }) => this.#ours(terminal));
  }

  trucks({ trucks }: DayFacts): readonly TruckFact[] {
    return trucks.filter(({ terminal }) => this.#ours(terminal));
  }

  /** What concerns a driver is also told to the driver's own terminal, wherever it happened. */
  tells({ terminal, driverTerminal }: EpisodeFact, { concern }: WireCheck): boolean {
    return this.concerned(concern) && (this.#ours(terminal) || (concern === 'driver' && this.#ours(driverTerminal)));
  }

  concerned(concern: WireCheck['concern']): boolean {
    return this.#recipient.concerns === 'all' || this.#recipient.concerns.includes(concern);
  }

  #ours(terminal: string | null): boolean {
    const { terminals } = this.#recipient;
    return terminals === 'all' || (terminal !== null && terminals.includes(terminal));
  }
}
