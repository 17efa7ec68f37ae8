import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { metresBetween, placeOf, type Site, siteAt, sitesSchema } from './site.ts';

const yard: Site = { siteId: 'yard', circle: { latitude: 41.1, longitude: -95.9, radiusM: 150 } };
const lShape: Site = {
  siteId: 'l-shape',
  polygon: [
    [0, 0],
    [2, 0],
    [2, 1],
    [1, 1],
    [1, 2],
    [0, 2],
  ],
};

describe('distance', () => {
  it('is one degree of the earth along a meridian', () => {
    const metres = metresBetween({ latitude: 10, longitude: 20 }, { latitude: 11, longitude: 20 });
    expect(metres).toBeCloseTo((6_371_009 * Math.PI) / 180, 3);
  });

  it('is half the way round between opposite points', () => {
    const metres = metresBetween({ latitude: 0, longitude: 0 }, { latitude: 0, longitude: 180 });
    expect(metres).toBeCloseTo(6_371_009 * Math.PI, 3);
  });
});

describe('the site of a position', () => {
  it('is null without a position', () => {
    expect(siteAt([yard], null)).toBeNull();
  });

  it('is found within the radius of a circle and not beyond it', () => {
    const metresPerDegree = (6_371_009 * Math.PI) / 180;
    const north = (metres: number) => ({ latitude: 41.1 + metres / metresPerDegree, longitude: -95.9 });
    expect(siteAt([yard], north(149))?.siteId).toBe('yard');
    expect(siteAt([yard], north(151))).toBeNull();
  });

  it('follows a polygon that is not convex', () => {
    expect(siteAt([lShape], { latitude: 0.5, longitude: 1.5 })?.siteId).toBe('l-shape');
    expect(siteAt([lShape], { latitude: 1.5, longitude: 0.5 })?.siteId).toBe('l-shape');
    expect(siteAt([lShape], { latitude: 1.5, longitude: 1.5 })).toBeNull();
  });

  it('counts edges and corners of a polygon as inside', () => {
    for (const [longitude, latitude] of lShape.polygon!) {
      expect(siteAt([lShape], { latitude, longitude })?.siteId).toBe('l-shape');
    }
    expect(siteAt([lShape], { latitude: 1, longitude: 1.5 })?.siteId).toBe('l-shape');
    expect(siteAt([lShape], { latitude: 0, longitude: 2.5 })).toBeNull();
  });

  it('crosses the 180th meridian', () => {
    const site: Site = {
      siteId: 'line',
      polygon: [
        [179.9, -1],
        [-179.9, -1],
        [-179.9, 1],
        [179.9, 1],
      ],
    };
    expect(siteAt([site], { latitude: 0, longitude: 179.95 })?.siteId).toBe('line');
    expect(siteAt([site], { latitude: 0, longitude: -179.95 })?.siteId).toBe('line');
    expect(siteAt([site], { latitude: 0, longitude: 0 })).toBeNull();
    expect(siteAt([site], { latitude: 0, longitude: 179.8 })).toBeNull();
  });

  it('is the smallest of several that hold the position, wherever it stands in the file', () => {
    const dock: Site = { siteId: 'dock', circle: { latitude: 41.1, longitude: -95.9, radiusM: 20 } };
    const at = { latitude: 41.1, longitude: -95.9 };
    expect(siteAt([yard, dock], at)?.siteId).toBe('dock');
    expect(siteAt([dock, yard], at)?.siteId).toBe('dock');
  });

  it('compares a circle with a polygon by area', () => {
    const field: Site = {
      siteId: 'field',
      polygon: [
        [-95.91, 41.09],
        [-95.89, 41.09],
        [-95.89, 41.11],
        [-95.91, 41.11],
      ],
    };
    expect(siteAt([field, yard], { latitude: 41.1, longitude: -95.9 })?.siteId).toBe('yard');
  });

  it('agrees with the plain definition on rectangles', () => {
    const degrees = fc.integer({ min: -40, max: 40 });
    fc.assert(
      fc.property(degrees, degrees, degrees, degrees, (west, south, x, y) => {
        const [east, north] = [west + 7, south + 5];
        const site: Site = {
          siteId: 's',
          polygon: [
            [west, south],
            [east, south],
            [east, north],
            [west, north],
          ],
        };
        const inside = x >= west && x <= east && y >= south && y <= north;
        expect(siteAt([site], { latitude: y, longitude: x }) !== null).toBe(inside);
      }),
      { numRuns: 300 },
    );
  });
});

describe('the sites file', () => {
  const problems = (value: unknown) =>
    sitesSchema.safeParse(value).error?.issues.map((issue) => `${issue.path.join('.')}: ${issue.message}`) ?? [];

  it('takes what the contract shows', () => {
    const north = {
      siteId: 'north-yard',
      name: 'North yard',
      terminal: 'north',
      zone: 'America/Chicago',
      surface: 'gravel',
      bearsLoadedTrailer: true,
      sloped: false,
      circle: { latitude: 41.1, longitude: -95.9, radiusM: 150 },
    };
    expect(problems([north])).toEqual([]);
  });

  it('names the place of a zone that does not exist', () => {
    expect(problems([{ ...yard, zone: 'America/Nowhere' }])).toEqual([
      '0.zone: expected an IANA time zone, such as America/Chicago',
    ]);
  });

  it('wants exactly one of circle and polygon', () => {
    expect(problems([{ siteId: 'a' }])).toEqual(['0: expected either circle or polygon']);
    expect(problems([{ ...yard, polygon: lShape.polygon }])).toEqual(['0: expected either circle or polygon']);
  });

  it('refuses a siteId that stands twice', () => {
    expect(problems([yard, yard])).toEqual(['1.siteId: expected every siteId once; "yard" also stands at [0]']);
  });

  it('refuses latitude and longitude in the wrong order where it can tell', () => {
    const swapped = {
      siteId: 'a',
      polygon: [
        [41.1, -95.9],
        [41.2, -95.9],
        [41.2, -95.8],
      ],
    };
    expect(problems([swapped]).length).toBeGreaterThan(0);
  });
});

describe('how surely a position lies in its site', () => {
  const metresPerDegree = (6_371_009 * Math.PI) / 180;
  const eastward = (metres: number) => ({ latitude: 0, longitude: metres / metresPerDegree });
  const round: Site = { siteId: 'round', circle: { latitude: 0, longitude: 0, radiusM: 100 } };

  it('is the distance to the edge of a circle or a polygon', () => {
    expect(placeOf([round], eastward(70)).marginM).toBeCloseTo(30, 3);
    const side = 100 / metresPerDegree;
    const square: Site = {
      siteId: 'square',
      polygon: [
        [-side, -side],
        [side, -side],
        [side, side],
        [-side, side],
      ],
    };
    expect(placeOf([square], eastward(70)).marginM).toBeCloseTo(30, 3);
    expect(placeOf([square], eastward(0)).marginM).toBeCloseTo(100, 3);
  });

  it('is the distance to a smaller site nearby, whose rules may be others', () => {
    const dock: Site = { siteId: 'dock', circle: { ...eastward(50), radiusM: 20 } };
    expect(placeOf([round, dock], eastward(20))).toEqual({ site: round, marginM: expect.closeTo(10, 3) });
    expect(placeOf([round, dock], eastward(45))).toEqual({ site: dock, marginM: expect.closeTo(15, 3) });
  });

  it('is nothing outside of every site', () => {
    expect(placeOf([round], eastward(170))).toEqual({ site: null, marginM: 0 });
    expect(placeOf([round], null)).toEqual({ site: null, marginM: 0 });
  });
});
