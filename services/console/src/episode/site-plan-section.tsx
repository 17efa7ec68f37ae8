/** The site plan: where the truck went around the load transfer, north up, from coordinates alone. */
import { figureText, inUnits } from '@gearhold/look';
import type { Evidence, StoredEpisode } from '../server/messages.ts';
import { useSurroundings } from '../shell/person.ts';
import { pathOf, planOf } from './site-plan.ts';

/** Half of the plan's width, m. */
const reach = 100;
/** Length of the scale, m. */
const scale = 50;

export function SitePlanSection({ episode, evidence }: { episode: StoredEpisode['episode']; evidence: Evidence }) {
  const { sites, units } = useSurroundings();
  const { position, siteId } = episode;
  const site = siteId === null ? undefined : sites.get(siteId);
  if (position === null) {
    return (
      <section>
        <h2>Where it was</h2>
        <p>This truck reported no position here, so no plan can be drawn.</p>
      </section>
    );
  }
  const { runs, circle, polygon } = planOf(evidence, position, site);
  const long = inUnits(scale, 'm', units);
  const said = `Plan, north up, ${2 * reach} m across: the way of the truck, and a cross where the load was transferred`;
  const [left, foot] = [-reach + 8, reach - 8];
  return (
    <section>
      <h2>Where it was</h2>
      <svg
        class="plan"
        viewBox={`${-reach} ${-reach} ${2 * reach} ${2 * reach}`}
        width="360"
        height="360"
        role="img"
        aria-label={said}
        fill="none"
        stroke="currentColor"
        font-size="7"
      >
        {circle !== null && <circle cx={circle.x} cy={circle.y} r={circle.radius} stroke-dasharray="4 3" />}
        {polygon !== null && <path d={`${pathOf(polygon)}Z`} stroke-dasharray="4 3" />}
        {runs.map((run) => (
          <path key={`${run[0]!.x} ${run[0]!.y}`} d={pathOf(run)} stroke-width="1.2" stroke-linejoin="round" />
        ))}
        <path d="M-5 -5L5 5M-5 5L5 -5" stroke-width="2" />
        <path d={`M${left} ${foot - 3}V${foot}H${left + scale}V${foot - 3}`} />
        <g fill="currentColor" stroke="none">
          <text x={left} y={foot - 5}>
            {figureText(long.value)} {long.unit}
          </text>
          <text x={left} y={-reach + 12}>
            N ↑
          </text>
        </g>
      </svg>
      <p class="soft small">
        The cross is where the load was transferred, the line the way of the truck as it reported it
        {circle !== null || polygon !== null ? ', the dashes the bounds of the site' : ''}.{' '}
        {position.latitude.toFixed(5)}, {position.longitude.toFixed(5)} (WGS 84).
      </p>
    </section>
  );
}
