/** What could not be judged and why, with the same dignity as what could: a line a check and reason. */
import { count } from '@gearhold/look';
import { checkName } from '../page/names.ts';
import { Waiting } from '../page/refused.tsx';
import { reasonUnjudged } from '../page/sentence.ts';
import { siteTime } from '../page/whom.ts';
import type { JudgedCheck, Page } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { useSurroundings } from '../shell/person.ts';
import { type Query, unjudgedAsked } from './filters.ts';
import { gatherUnjudged } from './unjudged.ts';

const trucksNamed = 6;

export function UnjudgedSection({ query }: { query: Query }) {
  const { units, sites } = useSurroundings();
  const { answer, refusal } = useAnswer<Page<JudgedCheck>>(unjudgedAsked(query));
  return (
    <section>
      <h2>Could not be judged</h2>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <p>Every check that the policy asks for here could be judged.</p>
      ) : (
        <>
          <p class="soft">
            {answer.nextCursor === null ? '' : 'The newest '}
            {count(answer.items.length, 'check')}, from {day(answer.items.at(-1)!)} to {day(answer.items[0]!)}. Nothing
            here is held against anybody: it says what to mend so that it can be judged next time.
          </p>
          <ul class="ledger">
            {gatherUnjudged(answer.items).map((group) => (
              <li key={group.example.episodeId + group.check + group.example.reasonParts.text} class="line unjudged">
                <p class="when">
                  <strong>{count(group.times, 'time')}</strong>
                </p>
                <div>
                  <p class="say">
                    {checkName(group.check)}: {reasonUnjudged(group.example, units)}
                  </p>
                  <p class="who">
                    {group.vehicleIds.slice(0, trucksNamed).map((vehicleId, place) => (
                      <span key={vehicleId}>
                        {place > 0 && ', '}
                        <a data-inside href={`/trucks/${encodeURIComponent(vehicleId)}`}>
                          {vehicleId}
                        </a>
                      </span>
                    ))}
                    {group.vehicleIds.length > trucksNamed && ` and ${group.vehicleIds.length - trucksNamed} more`}
                  </p>
                </div>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );

  function day({ loadTransferTime, siteId }: JudgedCheck): string {
    const { date, time } = siteTime(loadTransferTime, siteId, sites);
    return `${date} ${time}`;
  }
}
