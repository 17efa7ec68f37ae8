/** The morning list: what is not settled, the gravest first; decided line by line or several at once; and what could not be judged. */
import { capital, numberWord } from '@gearhold/look';
import { useEffect, useRef, useState } from 'preact/hooks';
import { Waiting } from '../page/refused.tsx';
import { DecisionBar } from '../review/decision-bar.tsx';
import type { Anomaly, Page } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { addressText, episodeAddress } from '../shell/address.ts';
import { useKeys } from '../shell/keys.ts';
import { useSurroundings } from '../shell/person.ts';
import { FilterForm } from './filter-form.tsx';
import { anomaliesAsked, filtersOf, type Query } from './filters.ts';
import { AnomalyLine } from './line.tsx';
import { keepOrder } from './order.ts';
import { UnjudgedSection } from './unjudged-section.tsx';

export function MorningPage({ query }: { query: Query }) {
  const asked = anomaliesAsked(query);
  const { answer, refusal, change } = useAnswer<Page<Anomaly>>(asked);
  const filtered = Object.keys(filtersOf(query)).length > 0;
  return (
    <>
      <h1>Morning list</h1>
      {answer !== null && <p class="soft">{leadOf(answer, query)}</p>}
      <FilterForm key={asked} query={query} />
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : answer.items.length === 0 ? (
        <Empty filtered={filtered} />
      ) : (
        <Lines key={asked} page={answer} query={query} onChange={change} />
      )}
      <UnjudgedSection query={query} />
    </>
  );
}

function leadOf({ items, nextCursor }: Page<Anomaly>, query: Query): string {
  const many = nextCursor !== null || query.after !== undefined;
  const shown = capital(numberWord(items.length));
  const noun = items.length === 1 ? 'anomaly' : 'anomalies';
  const urgent = items.filter(({ urgency }) => urgency === 'urgent').length;
  const first = urgent === 0 ? 'none of them urgent' : `${numberWord(urgent)} of them urgent`;
  return `${shown} ${noun}${many ? ' on this page' : ''}, ${first}: the urgent first, then the most serious and least ambiguous.`;
}

function Empty({ filtered }: { filtered: boolean }) {
  return (
    <p>
      {filtered
        ? 'No anomaly passes these filters.'
        : 'Nothing waits for a decision. What the readings prove against the policy appears here: readings come in by npx gearhold nightly, or by POST /v1/readings.'}
    </p>
  );
}

interface LinesProps {
  readonly page: Page<Anomaly>;
  readonly query: Query;
  readonly onChange: (to: (now: Page<Anomaly>) => Page<Anomaly>) => void;
}

function Lines({ page: { items, nextCursor }, query, onChange }: LinesProps) {
  const { keys } = useSurroundings();
  const [current, setCurrent] = useState(0);
  const [chosen, setChosen] = useState<ReadonlySet<string>>(new Set());
  const list = useRef<HTMLOListElement>(null);
  const started = useRef(false);
  const links = () => list.current?.querySelectorAll<HTMLAnchorElement>('a[data-line]') ?? [];

  const move = (by: number) => {
    const to = started.current ? Math.min(items.length - 1, Math.max(0, current + by)) : current;
    started.current = true;
    setCurrent(to);
    links()[to]?.focus();
  };
  const choose = (anomalyId: string, now: boolean) => {
    const next = new Set(chosen);
    if (now) next.add(anomalyId);
    else next.delete(anomalyId);
    setChosen(next);
  };
  const here = items[current]!;
  useKeys(
    {
      j: () => move(1),
      k: () => move(-1),
      o: () => links()[current]?.click(),
      x: () => choose(here.anomalyId, !chosen.has(here.anomalyId)),
    },
    keys,
  );
  useEffect(() => {
    const pages = items.map(({ episodeId, check }) => episodeAddress(episodeId, check));
    keepOrder({ list: addressText('/', query), pages });
  }, [items]);
  useEffect(() => {
    if (keys && document.activeElement === document.body) move(0);
  }, []);

  const targets = chosen.size > 0 ? items.filter(({ anomalyId }) => chosen.has(anomalyId)) : [here];
  const decided = (anomalies: readonly Anomaly[]) => {
    const byId = new Map(anomalies.map((anomaly) => [anomaly.anomalyId, anomaly]));
    onChange((now) => ({ ...now, items: now.items.map((anomaly) => byId.get(anomaly.anomalyId) ?? anomaly) }));
  };
  return (
    <>
      <ol class="ledger" ref={list} aria-label="Anomalies">
        {items.map((anomaly, place) => (
          <AnomalyLine
            key={anomaly.anomalyId}
            anomaly={anomaly}
            current={place === current}
            chosen={chosen.has(anomaly.anomalyId)}
            onCurrent={() => {
              started.current = true;
              setCurrent(place);
            }}
            onChosen={(now) => choose(anomaly.anomalyId, now)}
          />
        ))}
      </ol>
      <nav aria-label="Pages of the list">
        {query.after !== undefined && (
          <a data-inside href={addressText('/', filtersOf(query))}>
            First page
          </a>
        )}{' '}
        {nextCursor !== null && (
          <a data-inside href={addressText('/', { ...filtersOf(query), after: nextCursor })}>
            Next page
          </a>
        )}
      </nav>
      <DecisionBar targets={targets} onDecided={decided}>
        {keys && (
          <span class="soft small">
            <kbd>j</kbd> next <kbd>k</kbd> back <kbd>Enter</kbd> open <kbd>x</kbd> choose several
          </span>
        )}
      </DecisionBar>
    </>
  );
}
