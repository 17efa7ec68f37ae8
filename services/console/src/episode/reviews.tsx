/** What people decided on the anomalies of an episode, the oldest first. */
import { actionWords, checkName } from '../page/names.ts';
import { siteTime } from '../page/whom.ts';
import type { Anomaly, Review } from '../server/messages.ts';
import { useAnswer } from '../server/use-answer.ts';
import { useSurroundings } from '../shell/person.ts';

export function Reviews({ anomaly, named }: { anomaly: Anomaly; named: boolean }) {
  const { sites } = useSurroundings();
  const { episodeId, check, lastReview } = anomaly;
  // A decision is a reason to ask again.
  const path = `/v1/anomalies/${encodeURIComponent(episodeId)}/${check}/reviews`;
  const { answer } = useAnswer<{ items: readonly Review[] }>(path, lastReview?.reviewId ?? '');
  if (answer === null || answer.items.length === 0)
    return named ? null : <p class="soft">Nobody has decided on it yet.</p>;
  return (
    <>
      {named && <h3>{checkName(check)}</h3>}
      <ul>
        {answer.items.map((review) => {
          const { date, time } = siteTime(review.time, anomaly.siteId, sites);
          return (
            <li key={review.reviewId}>
              {date} {time}: {review.by.name} {actionWords[review.action]}
              {review.reason !== null && `: ${review.reason}`}
              {review.note !== null && `: ${review.note}`}
              {review.undone && ' (taken back)'}
            </li>
          );
        })}
      </ul>
    </>
  );
}
