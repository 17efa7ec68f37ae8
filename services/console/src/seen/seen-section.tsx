/** What was seen of a truck, a yard or a driver in 90 days: how much, what could be judged, what was missed, and how sure that is. */

import { count } from '@gearhold/look';
import { useEffect, useState } from 'preact/hooks';
import { checkNames } from '../page/check-names.ts';
import { checkName } from '../page/names.ts';
import { Waiting } from '../page/refused.tsx';
import { Scroll } from '../page/scroll.tsx';
import { siteTime } from '../page/whom.ts';
import { Refusal } from '../server/ask.ts';
import { addressText } from '../shell/address.ts';
import { useSurroundings } from '../shell/person.ts';
import { type Gathered, gatherChecks, type SeenBy } from './gather.ts';
import { type CheckTally, parts, shareText, tallyOf } from './tally.ts';

const partNames = ['latest 30 days', '30 days before', '30 days before that'] as const;

interface Props {
  readonly by: SeenBy;
  /** Only checks that concern these are counted; all where left out. */
  readonly concerns?: readonly string[];
}

export function SeenSection({ by, concerns }: Props) {
  const [gathered, setGathered] = useState<Gathered | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const key = JSON.stringify(by);
  useEffect(() => {
    let wanted = true;
    setGathered(null);
    setRefusal(null);
    gatherChecks(by).then(
      (found) => {
        const meant = found.checks.filter(({ concern }) => concerns === undefined || concerns.includes(concern));
        if (wanted) setGathered({ ...found, checks: meant });
      },
      (error: unknown) => {
        if (!(error instanceof Refusal)) throw error;
        if (wanted) setRefusal(error);
      },
    );
    return () => {
      wanted = false;
    };
  }, [key]);
  return (
    <section>
      <h2>What was seen</h2>
      {gathered === null ? <Waiting refusal={refusal} /> : <Told gathered={gathered} by={by} />}
    </section>
  );
}

function Told({ gathered: { checks, endMs, cut }, by }: { gathered: Gathered; by: SeenBy }) {
  const { sites } = useSurroundings();
  if (endMs === null || checks.length === 0) return <p>No coupling or uncoupling was seen yet.</p>;
  const episodes = new Set(checks.map(({ episodeId }) => episodeId)).size;
  const judged = checks.filter(({ outcome }) => outcome === 'met' || outcome === 'missed').length;
  const asked = checks.filter(({ outcome }) => outcome !== 'not-applicable').length;
  const [newest, oldest] = [checks[0]!, checks.at(-1)!].map(
    ({ loadTransferTime, siteId }) => siteTime(loadTransferTime, siteId, sites).date,
  );
  const tallies = tallyOf(checks, endMs, checkNames);
  return (
    <>
      <p>
        {count(episodes, 'episode')} from {oldest} to {newest}
        {cut ? ' (there were more than could be gathered: the stretch is shorter than 90 days)' : ''}. Of{' '}
        {count(asked, 'check')} that the policy asks for, {judged} could be judged.
      </p>
      <p class="soft">
        Missed is told as a share of what could be judged, with the range in which the true share most likely lies (95
        %). Where it could be nearly anything, that is said instead.
      </p>
      <Scroll label="What was seen, by check">
        <table>
          <thead>
            <tr>
              <th>Check</th>
              <th class="number">Missed</th>
              <th class="number">Judged</th>
              <th class="number">Not judged</th>
              <th>Share missed</th>
              {partNames.slice(0, parts).map((name) => (
                <th key={name}>{name}</th>
              ))}
            </tr>
          </thead>
          <tbody>
            {tallies.map((tally) => (
              <Row key={tally.check} tally={tally} by={by} />
            ))}
          </tbody>
        </table>
      </Scroll>
    </>
  );
}

function Row({ tally: { check, met, missed, undetermined, byPart, share }, by }: { tally: CheckTally; by: SeenBy }) {
  return (
    <tr>
      <th scope="row">{checkName(check)}</th>
      <td class="number">
        {missed === 0 ? (
          0
        ) : (
          <a data-inside href={addressText('/', { ...by, check, state: 'any' })}>
            {missed}
          </a>
        )}
      </td>
      <td class="number">{met + missed}</td>
      <td class="number">{undetermined}</td>
      <td>{met + missed === 0 ? 'none judged' : share === null ? 'too little seen to tell' : shareText(share)}</td>
      {byPart.map((part, place) => (
        <td key={partNames[place]}>{part.judged === 0 ? 'none judged' : `${part.missed} of ${part.judged}`}</td>
      ))}
    </tr>
  );
}
