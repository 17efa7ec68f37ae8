/** What else this truck, this yard and this driver did within a day of an episode. */
import { count } from '@gearhold/look';
import { siteName, siteTime } from '../page/whom.ts';
import { withQuery } from '../server/ask.ts';
import type { Page, StoredEpisode } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { addressText, episodeAddress } from '../shell/address.ts';
import { useSurroundings } from '../shell/person.ts';

type Episode = StoredEpisode['episode'];

const dayMs = 86_400_000;

export function Around({ episode }: { episode: Episode }) {
  const { vehicleId, siteId, driverId } = episode;
  return (
    <>
      <Others title={`Truck ${vehicleId}`} episode={episode} by={{ vehicle: vehicleId }} />
      {siteId !== null && <Others title="This yard" episode={episode} by={{ site: siteId }} />}
      {driverId !== null && <Others title={`Driver ${driverId}`} episode={episode} by={{ driver: driverId }} />}
    </>
  );
}

function Others({ title, episode, by }: { title: string; episode: Episode; by: Readonly<Record<string, string>> }) {
  const { sites } = useSurroundings();
  const at = Date.parse(episode.loadTransferTime);
  const { answer } = useAnswer<Page<StoredEpisode>>(
    withQuery('/v1/episodes', {
      ...by,
      since: new Date(at - dayMs).toISOString(),
      until: new Date(at + dayMs).toISOString(),
      limit: 20,
    }),
  );
  if (answer === null) return null;
  const others = answer.items.filter((other) => other.episode.episodeId !== episode.episodeId);
  return (
    <>
      <h3>{title}</h3>
      {others.length === 0 ? (
        <p class="soft">Nothing else within a day.</p>
      ) : (
        <ul>
          {others.map(({ episode: other }) => {
            const missed = other.checks.filter(({ outcome }) => outcome === 'missed').length;
            const { date, time } = siteTime(other.loadTransferTime, other.siteId, sites);
            return (
              <li key={other.episodeId}>
                {date} {time}{' '}
                <a data-inside href={episodeAddress(other.episodeId)}>
                  {other.kind}, truck {other.vehicleId}
                </a>
                , {siteName(other.siteId, sites)}:{' '}
                {missed === 0 ? 'nothing missed' : `${count(missed, 'check')} missed`}
              </li>
            );
          })}
        </ul>
      )}
      {answer.nextCursor !== null && <p class="soft">These are the newest 20 of them.</p>}
      <p class="small unprinted">
        <a data-inside href={addressText('/', { ...by, state: 'any' })}>
          All its anomalies
        </a>
      </p>
    </>
  );
}
