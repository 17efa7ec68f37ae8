/** One yard: what is stated of it, and what was seen there. */
import { SeenSection } from '../seen/seen-section.tsx';
import { addressText } from '../shell/address.ts';
import { useSurroundings } from '../shell/person.ts';
import { groundText } from './yards-page.tsx';

export function YardPage({ siteId }: { siteId: string }) {
  const { sites } = useSurroundings();
  const site = sites.get(siteId);
  if (site === undefined) {
    return (
      <>
        <h1>Yard</h1>
        <p>No site of this id is known to you.</p>
      </>
    );
  }
  const { name, terminal, surface, bearsLoadedTrailer, zone } = site;
  return (
    <>
      <h1>{name ?? siteId}</h1>
      <p class="soft">
        Ground: {groundText(surface, bearsLoadedTrailer)}. Terminal: {terminal ?? 'not stated'}. Time zone:{' '}
        {zone ?? 'not stated'}.
      </p>
      <p>
        <a data-inside href={addressText('/', { site: siteId, state: 'any' })}>
          Its anomalies and what could not be judged
        </a>
      </p>
      <SeenSection by={{ site: siteId }} />
    </>
  );
}
