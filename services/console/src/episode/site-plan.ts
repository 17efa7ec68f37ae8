/**
 * A plan of where an episode was, from coordinates alone: metres east and south of the load transfer, on a plane that is true enough
 * over some hundred metres. Degrees are WGS 84; the length of a degree is that of the mean earth radius, 6,371,009 m.
 */
import type { Evidence, Site } from '../server/messages.ts';

interface Place {
  readonly latitude: number;
  readonly longitude: number;
}

export interface Point {
  /** m east */
  readonly x: number;
  /** m south */
  readonly y: number;
}

export interface Plan {
  /** Where the truck went, a run of reported positions each. */
  readonly runs: readonly (readonly Point[])[];
  /** The bounds of the site; null where none is known. */
  readonly circle: (Point & { readonly radius: number }) | null;
  readonly polygon: readonly Point[] | null;
}

const metresPerDegree = (6_371_009 * Math.PI) / 180;
/** Positions further apart are no run. */
const gapMs = 30_000;

export function planOf(evidence: Evidence, centre: Place, site: Site | undefined): Plan {
  const east = metresPerDegree * Math.cos((centre.latitude * Math.PI) / 180);
  const at = ({ latitude, longitude }: Place): Point => ({
    x: (longitude - centre.longitude) * east,
    y: (centre.latitude - latitude) * metresPerDegree,
  });
  const latitudes = evidence.columns.find(({ signal }) => signal === 'latitude')?.values ?? [];
  const longitudes = evidence.columns.find(({ signal }) => signal === 'longitude')?.values ?? [];
  const runs: Point[][] = [];
  let lastMs = Number.NEGATIVE_INFINITY;
  for (const [row, time] of evidence.times.entries()) {
    const [latitude, longitude] = [latitudes[row], longitudes[row]];
    if (latitude == null || longitude == null) continue;
    const ms = Date.parse(time);
    if (ms - lastMs > gapMs) runs.push([]);
    runs.at(-1)!.push(at({ latitude, longitude }));
    lastMs = ms;
  }
  const circle = site?.circle === undefined ? null : { ...at(site.circle), radius: site.circle.radiusM };
  return {
    runs,
    circle,
    polygon:
      site?.polygon === undefined ? null : site.polygon.map(([longitude, latitude]) => at({ latitude, longitude })),
  };
}

/** `M0 1L2 3`: a run as a path, to the tenth of a metre. */
export function pathOf(points: readonly Point[]): string {
  return points.map(({ x, y }, place) => `${place === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');
}
