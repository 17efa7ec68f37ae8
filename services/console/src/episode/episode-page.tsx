/** One episode: what happened, what the readings show, what of it was judged how, what people decided, and what else went on. */
import { capital, episodeWords } from '@gearhold/look';
import type { WireEpisode } from '@gearhold/policy';
import { useEffect, useState } from 'preact/hooks';
import { keptOrder, pageFrom } from '../morning/order.ts';
import { betweenText } from '../page/clock.ts';
import { EvidenceBar } from '../page/evidence-bar.tsx';
import { Waiting } from '../page/refused.tsx';
import { sentenceOf } from '../page/sentence.ts';
import { siteName, siteTime, urgencyTag, whoLine, zoneOf } from '../page/whom.ts';
import { DecisionBar } from '../review/decision-bar.tsx';
import { ask, Refusal } from '../server/ask.ts';
import type { Anomaly, Evidence, StoredEpisode } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { episodeAddress } from '../shell/address.ts';
import { useKeys } from '../shell/keys.ts';
import { go } from '../shell/navigation.ts';
import { useSurroundings } from '../shell/person.ts';
import { Around } from './around.tsx';
import { CheckList } from './check-list.tsx';
import { evidenceCsv, saveText } from './evidence-csv.ts';
import { milestonesOf, unplacedOf } from './milestones.ts';
import { Reviews } from './reviews.tsx';
import { SitePlanSection } from './site-plan-section.tsx';
import { Traces } from './traces.tsx';

interface Props {
  readonly episodeId: string;
  /** The check that the page was opened for. */
  readonly check: string | undefined;
}

export function EpisodePage({ episodeId, check }: Props) {
  const { answer, refusal } = useAnswer<StoredEpisode>(`/v1/episodes/${encodeURIComponent(episodeId)}`);
  if (answer === null) {
    return (
      <>
        <h1>Episode</h1>
        <Waiting refusal={refusal} />
      </>
    );
  }
  return <Told key={check} stored={answer} opened={check} />;
}

function Told({ stored, opened }: { stored: StoredEpisode; opened: string | undefined }) {
  const { episode } = stored;
  const { sites, keys } = useSurroundings();
  const anomalies = useAnomalies(episode);
  const meant = anomalies.all.find((one) => one.check === opened) ?? anomalies.all[0];
  const [shown, setShown] = useState(opened ?? null);
  const windowed = episode.checks.find((one) => one.check === (shown ?? meant?.check));
  const zone = zoneOf(episode.siteId, sites);
  const { date, time } = siteTime(episode.loadTransferTime, episode.siteId, sites);
  const milestones = milestonesOf(episode);
  const unplaced = unplacedOf(episode);

  const order = keptOrder();
  const here = episodeAddress(episode.episodeId, opened);
  const next = pageFrom(order, here, 1);
  const back = pageFrom(order, here, -1);
  const move = (to: string | null) => to !== null && go(to);
  useKeys({ j: () => move(next), k: () => move(back), l: () => go(order.list) }, keys);

  return (
    <>
      <p class="small unprinted">
        <a data-inside href={order.list}>
          To the list {keys && <kbd>l</kbd>}
        </a>{' '}
        {back !== null && (
          <a data-inside href={back}>
            Back {keys && <kbd>k</kbd>}
          </a>
        )}{' '}
        {next !== null && (
          <a data-inside href={next}>
            Next {keys && <kbd>j</kbd>}
          </a>
        )}
      </p>
      <h1>
        {capital(episode.kind)}, {date}, {time}
      </h1>
      <p class="soft">
        Truck{' '}
        <a data-inside href={`/trucks/${encodeURIComponent(episode.vehicleId)}`}>
          {episode.vehicleId}
        </a>
        ,{' '}
        {episode.siteId === null ? (
          siteName(null, sites)
        ) : (
          <a data-inside href={`/yards/${encodeURIComponent(episode.siteId)}`}>
            {siteName(episode.siteId, sites)}
          </a>
        )}
        {episode.driverId !== null && (
          <>
            , driver{' '}
            <a data-inside href={`/drivers/${encodeURIComponent(episode.driverId)}`}>
              {episode.driverId}
            </a>
          </>
        )}{' '}
        · {episodeWords(episode as unknown as WireEpisode)}
        {stored.state === 'withdrawn' && ' · taken back: later readings showed that it was none'}
      </p>
      {anomalies.all.map((anomaly) => (
        <Proven key={anomaly.anomalyId} anomaly={anomaly} />
      ))}
      {anomalies.refusal !== null && <Waiting refusal={anomalies.refusal} />}
      {anomalies.ready && anomalies.all.length === 0 && <p>Nothing that the policy asks was proven missed here.</p>}

      <h2>What happened</h2>
      <dl class="facts">
        {milestones.map(({ name, words, best, low, high }) => (
          <div key={name + best} class="pair">
            <dt>{betweenText(low, high, zone)}</dt>
            <dd>{words}</dd>
          </div>
        ))}
      </dl>
      {unplaced.length > 0 && <p class="soft">The readings do not place: {unplaced.join(', ')}.</p>}

      <EvidenceSection episode={episode} milestones={milestones} window={windowed?.window ?? null} zone={zone} />

      <h2>Checks</h2>
      <CheckList checks={episode.checks} shown={windowed?.check ?? null} onShow={setShown} />

      {anomalies.all.length > 0 && (
        <>
          <h2>What was decided</h2>
          {anomalies.all.map((anomaly) => (
            <Reviews key={anomaly.anomalyId} anomaly={anomaly} named={anomalies.all.length > 1} />
          ))}
        </>
      )}

      <h2>Around then</h2>
      <Around episode={episode} />

      {meant !== undefined && <DecisionBar targets={[meant]} onDecided={anomalies.replace} />}
    </>
  );
}

function Proven({ anomaly }: { anomaly: Anomaly }) {
  const { units, person } = useSurroundings();
  const tag = urgencyTag(anomaly);
  return (
    <div class="proven">
      <div>
        <p class="say">
          {tag !== '' && <span class={`tag ${anomaly.urgency}`}>{tag}</span>}
          <strong>{sentenceOf(anomaly, units)}</strong>
        </p>
        <p class="soft small">{whoLine(anomaly, person.driverNames)}</p>
      </div>
      <EvidenceBar check={anomaly} />
    </div>
  );
}

interface EvidenceProps {
  readonly episode: StoredEpisode['episode'];
  readonly milestones: ReturnType<typeof milestonesOf>;
  readonly window: { readonly start: string; readonly end: string } | null;
  readonly zone: string;
}

function EvidenceSection({ episode, milestones, window, zone }: EvidenceProps) {
  const { episodeId, vehicleId } = episode;
  const { answer, refusal } = useAnswer<Evidence>(`/v1/episodes/${encodeURIComponent(episodeId)}/evidence`);
  return (
    <section>
      <h2>What the readings show</h2>
      {answer === null ? (
        <Waiting refusal={refusal} />
      ) : (
        <>
          <Traces evidence={answer} milestones={milestones} window={window} zone={zone} />
          <p class="unprinted">
            <button
              type="button"
              onClick={() => saveText(evidenceCsv(answer, vehicleId), `${vehicleId}-${episodeId}.csv`, 'text/csv')}
            >
              Save the readings as CSV
            </button>{' '}
            <button type="button" onClick={() => print()}>
              Print
            </button>
          </p>
          <SitePlanSection episode={episode} evidence={answer} />
        </>
      )}
    </section>
  );
}

/** The anomalies of an episode with their cases: one a missed check. */
function useAnomalies(episode: StoredEpisode['episode']) {
  const [all, setAll] = useState<readonly Anomaly[] | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  useEffect(() => {
    const missed = episode.checks.filter(({ outcome }) => outcome === 'missed');
    const id = encodeURIComponent(episode.episodeId);
    Promise.all(missed.map(({ check }) => ask<Anomaly>('GET', `/v1/anomalies/${id}/${check}`))).then(
      setAll,
      (error: unknown) => {
        if (!(error instanceof Refusal)) throw error;
        setRefusal(error);
      },
    );
  }, [episode]);
  return {
    all: all ?? [],
    ready: all !== null,
    refusal,
    replace: (changed: readonly Anomaly[]) => {
      const byId = new Map(changed.map((anomaly) => [anomaly.anomalyId, anomaly]));
      setAll((now) => (now ?? []).map((anomaly) => byId.get(anomaly.anomalyId) ?? anomaly));
    },
  };
}
