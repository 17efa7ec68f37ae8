/** What every route works with. */
import type { Allowed } from '@gearhold/operations/notify';
import type { Clock, Logger } from '@gearhold/shared/service';
import type { Engine } from '@gearhold/store';

export interface Context {
  readonly store: Engine;
  readonly clock: Clock;
  readonly log: Logger;
  /** Whether the session cookie is sent over HTTPS only. */
  readonly https: boolean;
  /** Private addresses that webhooks may reach all the same. */
  readonly webhookAddresses: Allowed;
}
