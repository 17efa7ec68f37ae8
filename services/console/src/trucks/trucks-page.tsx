/** The trucks that readings came from: how far each is heard and analysed. */

import { zoneTime } from '@gearhold/look';
import { Waiting } from '../page/refused.tsx';
import { Scroll } from '../page/scroll.tsx';
import { withQuery } from '../server/ask.ts';
import type { Page, Vehicle } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { addressText } from '../shell/address.ts';

export function TrucksPage({ query }: { query: Readonly<Record<string, string | undefined>> }) {
  const { answer, refusal } = useAnswer<Page<Vehicle>>(withQuery('/v1/vehicles', { limit: 100, cursor: query.after }));
  return (
    <>
      <h1>Trucks</h1>
      <p class="soft">
        Every truck that sent readings. Its page says which signals come, and which checks can never be judged on it and
        why.
      </p>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <p>No truck has sent readings yet. They come in by npx gearhold nightly, or by POST /v1/readings.</p>
      ) : (
        <Scroll label="Trucks">
          <table>
            <thead>
              <tr>
                <th>Truck</th>
                <th>Terminal</th>
                <th>First reading</th>
                <th>Last reading</th>
                <th>Analysed until</th>
              </tr>
            </thead>
            <tbody>
              {answer.items.map(({ vehicleId, statements, firstReadingTime, lastReadingTime, analysedUntil }) => (
                <tr key={vehicleId}>
                  <th scope="row">
                    <a data-inside href={`/trucks/${encodeURIComponent(vehicleId)}`}>
                      {vehicleId}
                    </a>
                  </th>
                  <td>{statements.at(-1)?.terminal ?? 'not stated'}</td>
                  <td>{instant(firstReadingTime)}</td>
                  <td>{instant(lastReadingTime)}</td>
                  <td>{instant(analysedUntil)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
      {answer?.nextCursor != null && (
        <p>
          <a data-inside href={addressText('/trucks', { after: answer.nextCursor })}>
            Next page
          </a>
        </p>
      )}
    </>
  );
}

/** A truck belongs to no zone: UTC, and named. */
export function instant(time: string | null): string {
  if (time === null) return 'none';
  const at = zoneTime(time);
  return `${at.date} ${at.time}`;
}
