/** Drivers by id: those that a drivers file states, and any other by the id that the readings carry. In no order but that of their ids. */
import { Waiting } from '../page/refused.tsx';
import { withQuery } from '../server/ask.ts';
import type { Driver, Page } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { addressText } from '../shell/address.ts';
import { go } from '../shell/navigation.ts';
import { useSurroundings } from '../shell/person.ts';

function driverAddress(driverId: string): string {
  return `/drivers/${encodeURIComponent(driverId)}`;
}

export function DriversPage({ query }: { query: Readonly<Record<string, string | undefined>> }) {
  const { person } = useSurroundings();
  const { answer, refusal } = useAnswer<Page<Driver>>(withQuery('/v1/drivers', { limit: 100, cursor: query.after }));
  if (!person.driverNames) {
    return (
      <>
        <h1>Drivers</h1>
        <p>Drivers are not named to you. An administrator can change that.</p>
      </>
    );
  }
  const open = (event: SubmitEvent) => {
    event.preventDefault();
    const id = String(new FormData(event.currentTarget as HTMLFormElement).get('driver') ?? '').trim();
    if (id !== '') go(driverAddress(id));
  };
  return (
    <>
      <h1>Drivers</h1>
      <p class="soft">
        A driver's page is for reading before a talk: what was seen, what was missed, and how sure that is.
      </p>
      <form class="filters" onSubmit={open}>
        <label>
          Driver
          <input name="driver" maxLength={64} required />
        </label>
        <button type="submit">Open</button>
      </form>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <p>
          No drivers are stated. Names and terminals come from a file with npx gearhold nightly --drivers-file FILE; the
          page of any driver opens by the id that the readings carry.
        </p>
      ) : (
        <ul>
          {answer.items.map(({ driverId, name, assignments }) => (
            <li key={driverId}>
              <a data-inside href={driverAddress(driverId)}>
                {name === null ? driverId : `${name} (${driverId})`}
              </a>
              {assignments.length > 0 && `, ${assignments.at(-1)!.terminal}`}
            </li>
          ))}
        </ul>
      )}
      {answer?.nextCursor != null && (
        <p>
          <a data-inside href={addressText('/drivers', { after: answer.nextCursor })}>
            Next page
          </a>
        </p>
      )}
    </>
  );
}
