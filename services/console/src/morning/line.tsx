/** One anomaly, a line of the morning list. */

import { EvidenceBar } from '../page/evidence-bar.tsx';
import { sentenceOf } from '../page/sentence.ts';
import { siteName, siteTime, urgencyTag, whoLine } from '../page/whom.ts';
import type { Anomaly } from '../server/messages.ts';
import { episodeAddress } from '../shell/address.ts';
import { useSurroundings } from '../shell/person.ts';

interface Props {
  readonly anomaly: Anomaly;
  /** Whether keys act on it. */
  readonly current: boolean;
  readonly chosen: boolean;
  readonly onCurrent: () => void;
  readonly onChosen: (chosen: boolean) => void;
}

export function AnomalyLine({ anomaly, current, chosen, onCurrent, onChosen }: Props) {
  const { units, sites, person } = useSurroundings();
  const { date, time } = siteTime(anomaly.loadTransferTime, anomaly.siteId, sites);
  const tag = urgencyTag(anomaly);
  const settled = anomaly.state === 'dismissed' || anomaly.state === 'closed';
  return (
    <li class={`line${current ? ' on' : ''}${settled ? ' done' : ''}`} onFocusIn={onCurrent}>
      <input
        type="checkbox"
        checked={chosen}
        aria-label={`Choose ${anomaly.vehicleId} at ${time}`}
        onChange={(event) => onChosen(event.currentTarget.checked)}
      />
      <p class="when">
        <strong>{time}</strong>
        {date}
        <br />
        {siteName(anomaly.siteId, sites)}
      </p>
      <div>
        <p class="say">
          {tag !== '' && <span class={`tag ${anomaly.urgency}`}>{tag}</span>}
          <a data-inside data-line href={episodeAddress(anomaly.episodeId, anomaly.check)}>
            {sentenceOf(anomaly, units)}
          </a>
        </p>
        <p class="who">{whoLine(anomaly, person.driverNames)}</p>
        {anomaly.lastReview?.reason != null && settled && <p class="who">Reason: {anomaly.lastReview.reason}</p>}
      </div>
      <EvidenceBar check={anomaly} />
    </li>
  );
}
