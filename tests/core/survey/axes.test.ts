import { expect, test } from 'vitest';
import { axesLookSwapped } from '#core/survey/axes.ts';
import { readPnezd } from '#core/survey/pnezd.ts';

const units = { metresPerUnit: 1, elevationMetresPerUnit: 1 };
const penzd = { ...units, headings: ['point', 'easting', 'northing', 'elevation', 'code'] as const };
const inProject = (east: number, north: number): boolean => east < 1000 && north > 1000;

// The fault of zsiki/GeoEasy#158, OSGeo/gdal#1975: one side says X is north, the other X is east.
test('a file read with northing and easting exchanged is seen by where its points fall', () => {
  const text = '1,1217.64,843.25,257.29,MH\n2,1220.1,850.0,257.3,EP\n3,1230.5,860.0,257.4,EP';
  expect(axesLookSwapped(readPnezd(text, units).shots, inProject)).toBe(false);
  expect(axesLookSwapped(readPnezd(text, penzd).shots, inProject)).toBe(true);
});

test('points outside both ways, or a single stray, say nothing', () => {
  expect(axesLookSwapped([], inProject)).toBe(false);
  expect(axesLookSwapped([{ east: 5000, north: 5000 }], inProject)).toBe(false);
  const good = { east: 843, north: 1217 };
  expect(axesLookSwapped([good, good, { east: 1217, north: 843 }], inProject)).toBe(false);
});
