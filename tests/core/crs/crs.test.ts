import { describe, expect, test } from 'vitest';
import { type CrsDefinition, insideArea, makeProjection } from '#core/crs/crs.ts';

const degrees = (d: number, m = 0, s = 0): number => d + m / 60 + s / 3600;
const ftUS = 1200 / 3937;
const anywhere = { west: -180, south: -90, east: 180, north: 90 };

function define(proj4: string, metresPerUnit = 1, area: CrsDefinition['area'] = anywhere): CrsDefinition {
  return { code: 0, name: 'worked example', proj4, metresPerUnit, unitName: '', area };
}

/**
 * Worked examples of IOGP/EPSG Geomatics Guidance Note 7 part 2, as reproduced in the EPSG method records
 * (epsg.io, opengis.net). Each is on its own datum. Grid values in the unit of the example.
 */
const examples = [
  {
    name: '9802 Lambert conic, two parallels: NAD27 / Texas South Central',
    definition: define(
      `+proj=lcc +lat_1=${degrees(28, 23)} +lat_2=${degrees(30, 17)} +lat_0=${degrees(27, 50)} +lon_0=-99 ` +
        `+x_0=${2_000_000 * ftUS} +y_0=0 +a=${20925832.16 * ftUS} +rf=294.9787 +units=us-ft`,
      ftUS,
    ),
    lonLat: [-96, 28.5],
    grid: [2963503.91, 254759.8],
    tolerance: 0.01,
  },
  {
    name: '9801 Lambert conic, one parallel: JAD69 / Jamaica National Grid',
    definition: define(
      '+proj=lcc +lat_1=18 +lat_0=18 +lon_0=-77 +k_0=1 +x_0=250000 +y_0=150000 +a=6378206.4 +rf=294.9787',
    ),
    lonLat: [-degrees(76, 56, 37.26), degrees(17, 55, 55.8)],
    grid: [255966.58, 142493.51],
    tolerance: 0.01,
  },
  {
    name: '9807 Transverse Mercator: OSGB36 / British National Grid, with the example’s rounded scale',
    definition: define(
      '+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996013 +x_0=400000 +y_0=-100000 +a=6377563.396 +rf=299.32496',
    ),
    lonLat: [0.5, 50.5],
    grid: [577274.99, 69740.5],
    tolerance: 0.02,
  },
  {
    name: '9815 Oblique Mercator, variant B: Timbalai 1948 / RSO Borneo',
    definition: define(
      `+proj=omerc +lat_0=4 +lonc=115 +alpha=${degrees(53, 18, 56.9537)} +gamma=${degrees(53, 7, 48.3685)} ` +
        '+k=0.99984 +x_0=590476.87 +y_0=442857.65 +a=6377298.556 +rf=300.8017',
    ),
    lonLat: [degrees(115, 48, 19.8196), degrees(5, 23, 14.1129)],
    grid: [679245.73, 596562.78],
    tolerance: 0.01,
  },
  {
    name: '1024 Popular Visualisation Pseudo-Mercator',
    definition: define(
      '+proj=merc +a=6378137 +b=6378137 +lat_ts=0 +lon_0=0 +x_0=0 +y_0=0 +k=1 +nadgrids=@null',
    ),
    lonLat: [-100 - 20 / 60, degrees(24, 22, 54.433)],
    grid: [-11169055.58, 2800000],
    tolerance: 0.01,
  },
];

describe('Guidance Note 7-2 worked examples', () => {
  test.each(examples)('$name', ({ definition, lonLat: [lon, lat], grid, tolerance }) => {
    const projection = makeProjection(definition, 'own');
    const [east, north] = projection.fromLonLat(lon, lat);
    expect(Math.abs(east / definition.metresPerUnit - grid[0])).toBeLessThan(tolerance);
    expect(Math.abs(north / definition.metresPerUnit - grid[1])).toBeLessThan(tolerance);
    const [backLon, backLat] = projection.toLonLat(east, north);
    expect(Math.abs(backLon - lon)).toBeLessThan(2e-8);
    expect(Math.abs(backLat - lat)).toBeLessThan(2e-8);
  });

  test('1024 backwards: (-11169055.58, 2810000.00) is 24°27′48.889″N 100°20′W', () => {
    const [lon, lat] = makeProjection(examples[4].definition, 'own').toLonLat(-11169055.58, 2810000);
    expect(lon).toBeCloseTo(-100 - 20 / 60, 6);
    expect(lat).toBeCloseTo(degrees(24, 27, 48.889), 6);
  });

  test('with the register’s scale the OSGB example is 577274.984, 69740.492', () => {
    const register = define(
      '+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=airy +towgs84=446.448,-125.157,542.06,0.15,0.247,0.842,-20.489',
    );
    const [east, north] = makeProjection(register, 'own').fromLonLat(0.5, 50.5);
    expect(east).toBeCloseTo(577274.984, 3);
    expect(north).toBeCloseTo(69740.492, 3);
  });
});

describe('makeProjection', () => {
  const feet = define(
    '+proj=lcc +lat_0=33.75 +lon_0=-79 +lat_1=36.1666666666667 +lat_2=34.3333333333333 +x_0=609601.219202438 +y_0=0 +datum=NAD83 +units=us-ft',
    ftUS,
  );

  test('gives metres whatever the unit of the axes', () => {
    const [east] = makeProjection(feet).fromLonLat(-79, 35);
    expect(east).toBeCloseTo(609601.2192, 4);
    expect(makeProjection(feet, 'own').fromLonLat(-79, 35)[0]).toBeCloseTo(609601.2192, 4);
    const factor = { ...feet, proj4: feet.proj4.replace('+units=us-ft', '+to_meter=0.3048006096012192') };
    expect(makeProjection(factor).fromLonLat(-80, 35)).toEqual(makeProjection(feet).fromLonLat(-80, 35));
  });

  test('shifts to WGS 84 for maps, and not at all on the definition’s own datum', () => {
    const belgium = define(
      '+proj=lcc +lat_0=90 +lon_0=4.36748666666667 +lat_1=51.1666672333333 +lat_2=49.8333339 +x_0=150000.013 +y_0=5400088.438 +ellps=intl +towgs84=-106.8686,52.2978,-103.7239,-0.3366,0.457,-1.8422,-1.2747 +units=m',
    );
    const [east, north] = makeProjection(belgium, 'own').fromLonLat(5, 53);
    const [lon, lat] = makeProjection(belgium, 'wgs84').toLonLat(east, north);
    const metres = Math.hypot((lon - 5) * 67_000, (lat - 53) * 111_000);
    expect(metres).toBeGreaterThan(50);
    expect(metres).toBeLessThan(300);
  });

  test('a definition without an ellipsoid or with a named datum is read on its own datum too', () => {
    const bare = define('+proj=utm +zone=31');
    const named = define('+proj=utm +zone=31 +datum=WGS84');
    const other = define('+proj=utm +zone=31 +datum=potsdam');
    expect(makeProjection(bare, 'own').fromLonLat(-2, 60)[0]).toBeCloseTo(221288.77, 2);
    expect(makeProjection(named, 'own').fromLonLat(-2, 60)[0]).toBeCloseTo(221288.77, 2);
    expect(makeProjection(other, 'own').fromLonLat(-2, 60)[0]).toBeLessThan(221400);
  });

  test('throws for a projection that does not exist, a fault of the caller', () => {
    expect(() => makeProjection(define('+proj=flat'))).toThrow();
  });
});

test('the area of use may span the 180th meridian', () => {
  const carolina = define('+proj=utm +zone=17', 1, {
    west: -84.33,
    south: 33.83,
    east: -75.38,
    north: 36.59,
  });
  expect(insideArea(carolina, -80, 35)).toBe(true);
  expect(insideArea(carolina, -85, 35)).toBe(false);
  expect(insideArea(carolina, -70, 35)).toBe(false);
  expect(insideArea(carolina, -80, 33)).toBe(false);
  expect(insideArea(carolina, -80, 37)).toBe(false);
  const fiji = define('+proj=utm +zone=1 +south', 1, { west: 176, south: -21, east: -178, north: -12 });
  expect(insideArea(fiji, 179, -17)).toBe(true);
  expect(insideArea(fiji, -179, -17)).toBe(true);
  expect(insideArea(fiji, 170, -17)).toBe(false);
});
