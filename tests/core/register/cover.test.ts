import { expect, test } from 'vitest';
import { toCover } from '#core/register/cover.ts';
import { readRegisterCsv } from '#core/register/csv.ts';

const heading =
  'id,kind,easting,northing,seat_elevation,frame_height_mm,rim_diameter_mm,rim_elevation,road_bearing_deg';

function cover(row: string) {
  const { rows } = readRegisterCsv(`${heading}\n${row}`, { metresPerUnit: 1, elevationMetresPerUnit: 1 });
  return toCover(rows[0]);
}

test('a whole row becomes a cover, its rim by the radius', () => {
  expect(cover('A,storm,1,2,256.21,180,660,256.48,90')).toEqual({
    id: 'A',
    kind: 'storm',
    east: 1,
    north: 2,
    seatElevation: 256.21,
    seatGradient: [0, 0],
    rimElevation: 256.48,
    frameHeight: 0.18,
    rimRadius: 0.33,
    roadBearing: Math.PI / 2,
    setDown: 0,
    adjustment: 'rings',
    condition: { located: null, chimneyUnsound: null, frameUnsound: null },
  });
});

test('rim, seat and bearing may be unknown', () => {
  expect(cover('A,storm,1,2,256.21,180,660,,')).toMatchObject({ rimElevation: null, roadBearing: null });
  expect(cover('A,storm,1,2,,180,660,256.48,90')).toMatchObject({
    seatElevation: null,
    rimElevation: 256.48,
  });
  for (const word of ['n/a', 'N.A.', 'unknown', '-', '?', 'not measured'])
    expect(cover(`A,storm,1,2,${word},180,660,256.48,90`)).toMatchObject({ seatElevation: null });
});

test.each([
  ['A,storm,,,256.21,180,660,,', 'easting, northing'],
  ['A,storm,1,2,5,,660,,', 'frame_height'],
  ['A,storm,1,2,5,180,,,', 'rim_diameter'],
  ['A,storm,,,,,,,', 'easting, northing, frame_height, rim_diameter'],
])('%s lacks %s', (row, column) => {
  expect(cover(row)).toEqual({
    code: 'missing',
    row: 2,
    column,
    value: null,
    message: `A cannot be planned without it${column.includes('easting') ? ' (blank or 0,0)' : ''}`,
  });
});
