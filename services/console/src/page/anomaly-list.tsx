/** Some anomalies as lines to be read, not decided. */
import { withQuery } from '../server/ask.ts';
import type { Anomaly, Page } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { episodeAddress } from '../shell/address.ts';
import { useSurroundings } from '../shell/person.ts';
import { EvidenceBar } from './evidence-bar.tsx';
import { Waiting } from './refused.tsx';
import { sentenceOf } from './sentence.ts';
import { siteName, siteTime, whoLine } from './whom.ts';

const shown = 20;

export function AnomalyList({ by }: { by: Readonly<Record<string, string>> }) {
  const { units, sites, person } = useSurroundings();
  const { answer, refusal } = useAnswer<Page<Anomaly>>(withQuery('/v1/anomalies', { ...by, limit: shown }));
  if (answer === null) return <Waiting refusal={refusal} />;
  if (answer.items.length === 0) return <p>Nothing was proven missed.</p>;
  return (
    <ul class="ledger">
      {answer.items.map((anomaly) => {
        const { date, time } = siteTime(anomaly.loadTransferTime, anomaly.siteId, sites);
        return (
          <li class="line read" key={anomaly.anomalyId}>
            <p class="when">
              <strong>{time}</strong>
              {date}
              <br />
              {siteName(anomaly.siteId, sites)}
            </p>
            <div>
              <p class="say">
                <a data-inside href={episodeAddress(anomaly.episodeId, anomaly.check)}>
                  {sentenceOf(anomaly, units)}
                </a>
              </p>
              <p class="who">{whoLine(anomaly, person.driverNames)}</p>
            </div>
            <EvidenceBar check={anomaly} />
          </li>
        );
      })}
    </ul>
  );
}
