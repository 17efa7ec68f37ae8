/**
 * The tracker as a stream operator: batches of ordered readings in, episodes out as they close. It keys by vehicle and
 * holds back the source while its reader is slow. Within a vehicle the rows come in strictly increasing time (the order
 * stage sees to that); how they are cut into batches changes nothing.
 */
import { Transform } from 'node:stream';
import { type ReadingBatch, signalCount } from '@gearhold/signals';
import { FleetTracker } from './fleet.ts';
import type { Vehicle } from './vehicle.ts';

export function episodeStream(options: { readonly vehicles?: readonly Vehicle[] } = {}): Transform {
  const fleet = new FleetTracker({ ...options, onEpisode: (episode) => operator.push(episode) });
  const operator = new Transform({
    objectMode: true,
    transform(batch: ReadingBatch, _encoding, done) {
      for (let row = 0; row < batch.length; row++) {
        fleet.accept(batch.vehicleIds[row], batch.timesMs[row], batch.driverIds[row], batch.values, row * signalCount);
      }
      done();
    },
    flush(done) {
      fleet.finish();
      done();
    },
  });
  return operator;
}
