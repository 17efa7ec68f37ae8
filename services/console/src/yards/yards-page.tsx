/** The places that the fleet knows. */
import { Scroll } from '../page/scroll.tsx';
import { useSurroundings } from '../shell/person.ts';

export function YardsPage() {
  const { sites } = useSurroundings();
  return (
    <>
      <h1>Yards</h1>
      {sites.size === 0 ? (
        <p>
          No site is known yet. They come from a file with npx gearhold nightly --sites FILE, or by PUT /v1/sites/ID.
        </p>
      ) : (
        <Scroll label="Yards">
          <table>
            <thead>
              <tr>
                <th>Site</th>
                <th>Terminal</th>
                <th>Ground</th>
                <th>Time zone</th>
              </tr>
            </thead>
            <tbody>
              {[...sites.values()].map(({ siteId, name, terminal, surface, bearsLoadedTrailer, zone }) => (
                <tr key={siteId}>
                  <th scope="row">
                    <a data-inside href={`/yards/${encodeURIComponent(siteId)}`}>
                      {name ?? siteId}
                    </a>
                  </th>
                  <td>{terminal ?? 'not stated'}</td>
                  <td>{groundText(surface, bearsLoadedTrailer)}</td>
                  <td>{zone ?? 'not stated'}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
    </>
  );
}

/** `gravel, does not bear a loaded trailer` */
export function groundText(surface: string | undefined, bears: boolean | undefined): string {
  if (bears === undefined) return surface ?? 'not stated';
  return `${surface === undefined ? '' : `${surface}, `}${bears ? 'bears' : 'does not bear'} a loaded trailer`;
}
