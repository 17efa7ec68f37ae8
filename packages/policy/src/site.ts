/**
 * Sites: the places a fleet knows, and which of them a position lies in.
 *
 * Pure: positions in degrees (WGS 84), distances in metres. A circle is measured along the sphere (haversine), a polygon is
 * flat in longitude and latitude, which at the size of a yard is exact to well under a metre; one that crosses the 180th
 * meridian is handled. Edges belong to the site. Where several sites hold the position the smallest one answers, so that a
 * dock drawn within a yard keeps its own rules; of equal ones, the first in the file.
 */
import { z } from 'zod';

/** Mean radius of the earth, m (IUGG mean radius R1, rounded; from memory). */
const earthRadiusM = 6_371_009;

/** Half the earth's way round, m: a circle of more is the whole earth. */
const largestRadiusM = 20_015_000;

const latitude = z.number().min(-90).max(90);
const longitude = z.number().min(-180).max(180);

function isZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

export const siteSchema = z
  .strictObject({
    siteId: z.string().min(1).max(64),
    name: z.string().min(1).optional(),
    terminal: z.string().min(1).optional(),
    zone: z.string().refine(isZone, 'expected an IANA time zone, such as America/Chicago').optional(),
    surface: z.enum(['concrete', 'asphalt', 'gravel', 'soil', 'unknown']).optional(),
    bearsLoadedTrailer: z.boolean().optional(),
    sloped: z.boolean().optional(),
    circle: z.strictObject({ latitude, longitude, radiusM: z.number().positive().max(largestRadiusM) }).optional(),
    polygon: z
      .array(z.tuple([longitude, latitude]))
      .min(3)
      .optional()
      .describe('Corners as [longitude, latitude]; the last is joined to the first.'),
  })
  .refine((site) => (site.circle === undefined) !== (site.polygon === undefined), 'expected either circle or polygon')
  .describe('One site of the sites file.');

export const sitesSchema = z
  .array(siteSchema)
  .superRefine((sites, context) => {
    const seen = new Map<string, number>();
    for (const [index, site] of sites.entries()) {
      const first = seen.get(site.siteId);
      if (first === undefined) seen.set(site.siteId, index);
      else {
        const message = `expected every siteId once; "${site.siteId}" also stands at [${first}]`;
        context.addIssue({ code: 'custom', path: [index, 'siteId'], message });
      }
    }
  })
  .describe('The sites file: the places a fleet knows.');

export type Site = z.infer<typeof siteSchema>;

export interface Position {
  readonly latitude: number;
  readonly longitude: number;
}

/** The site that a position lies in, or null: none holds it, or there is no position. */
export function siteAt(sites: readonly Site[], position: Position | null): Site | null {
  if (position === null) return null;
  let found: Site | null = null;
  for (const site of sites) {
    if (!holds(site, position)) continue;
    if (found === null || areaM2(site) < areaM2(found)) found = site;
  }
  return found;
}

function holds(site: Site, position: Position): boolean {
  if (site.circle !== undefined) return metresBetween(site.circle, position) <= site.circle.radiusM;
  return site.polygon !== undefined && withinPolygon(site.polygon, position);
}

/** The site of a position, and how far the position lies from where another site, or none, would answer, m. */
export function placeOf(sites: readonly Site[], position: Position | null): { site: Site | null; marginM: number } {
  const site = siteAt(sites, position);
  if (site === null || position === null) return { site, marginM: 0 };
  let marginM = metresToEdge(site, position);
  for (const other of sites) {
    if (other === site || areaM2(other) > areaM2(site)) continue;
    marginM = Math.min(marginM, metresToEdge(other, position));
  }
  return { site, marginM };
}

/** Distance to the edge of a site, from within or without, m; a polygon on a plane at the position. */
function metresToEdge(site: Site, position: Position): number {
  if (site.circle !== undefined) return Math.abs(site.circle.radiusM - metresBetween(site.circle, position));
  const corners = site.polygon ?? [];
  const metresPerDegree = radians(1) * earthRadiusM;
  const scaleX = metresPerDegree * Math.cos(radians(position.latitude));
  const onPlane = (corner: readonly [number, number]) =>
    [eastOf(position.longitude, corner[0]) * scaleX, (corner[1] - position.latitude) * metresPerDegree] as const;
  let nearest = Number.POSITIVE_INFINITY;
  let from = onPlane(corners.at(-1)!);
  for (const corner of corners) {
    const to = onPlane(corner);
    nearest = Math.min(nearest, metresToSegment(from, to));
    from = to;
  }
  return nearest;
}

/** Distance from the origin to a segment of a plane. */
function metresToSegment([x1, y1]: readonly [number, number], [x2, y2]: readonly [number, number]): number {
  const dx = x2 - x1;
  const dy = y2 - y1;
  const squared = dx * dx + dy * dy;
  const share = squared === 0 ? 0 : Math.min(1, Math.max(0, -(x1 * dx + y1 * dy) / squared));
  return Math.hypot(x1 + share * dx, y1 + share * dy);
}

/** Distance along the sphere, m (haversine). */
export function metresBetween(a: Position, b: Position): number {
  const dLatitude = radians(b.latitude - a.latitude);
  const dLongitude = radians(b.longitude - a.longitude);
  const h =
    Math.sin(dLatitude / 2) ** 2 +
    Math.cos(radians(a.latitude)) * Math.cos(radians(b.latitude)) * Math.sin(dLongitude / 2) ** 2;
  return 2 * earthRadiusM * Math.asin(Math.min(1, Math.sqrt(h)));
}

/** Ray casting to the east. Longitudes are counted from the first corner, the shorter way round the earth. */
function withinPolygon(corners: readonly (readonly [number, number])[], position: Position): boolean {
  const origin = corners[0]![0];
  const x = eastOf(origin, position.longitude);
  const y = position.latitude;
  let inside = false;
  const last = corners.at(-1)!;
  let x1 = eastOf(origin, last[0]) - x;
  let y1 = last[1] - y;
  for (const corner of corners) {
    const x2 = eastOf(origin, corner[0]) - x;
    const y2 = corner[1] - y;
    if (onSegment(x1, y1, x2, y2)) return true;
    if (y1 > 0 !== y2 > 0 && x1 + ((x2 - x1) * -y1) / (y2 - y1) > 0) inside = !inside;
    x1 = x2;
    y1 = y2;
  }
  return inside;
}

/** Degrees from one longitude east to another, -180 to 180; exact where the plain difference is in that range. */
function eastOf(from: number, to: number): number {
  const plain = to - from;
  return plain > 180 ? plain - 360 : plain < -180 ? plain + 360 : plain;
}

function onSegment(x1: number, y1: number, x2: number, y2: number): boolean {
  return x1 * y2 === x2 * y1 && x1 * x2 <= 0 && y1 * y2 <= 0;
}

/** Area, m2; a polygon's by the shoelace formula on a plane at its first corner. */
function areaM2(site: Site): number {
  if (site.circle !== undefined) return Math.PI * site.circle.radiusM ** 2;
  const corners = site.polygon ?? [];
  const first = corners[0]!;
  const metresPerDegree = radians(1) * earthRadiusM;
  const scaleX = metresPerDegree * Math.cos(radians(first[1]));
  let twice = 0;
  for (const [index, corner] of corners.entries()) {
    const next = corners[(index + 1) % corners.length]!;
    const x1 = eastOf(first[0], corner[0]) * scaleX;
    const x2 = eastOf(first[0], next[0]) * scaleX;
    twice += x1 * (next[1] - first[1]) - x2 * (corner[1] - first[1]);
  }
  return (Math.abs(twice) / 2) * metresPerDegree;
}

function radians(degrees: number): number {
  return (degrees * Math.PI) / 180;
}
