import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CentreLine, stationOn } from '#core/alignment/station.ts';

describe('station and offset', () => {
  const northThenEast: CentreLine = [
    [0, 0],
    [0, 100],
    [50, 100],
  ];

  it('count along the line, right being positive looking up-station', () => {
    expect(stationOn(northThenEast, 3, 40)).toEqual({ station: 40, offset: 3, bearing: 0 });
    expect(stationOn(northThenEast, -3, 40)).toMatchObject({ station: 40, offset: -3 });
    expect(stationOn(northThenEast, 20, 98)).toEqual({ station: 120, offset: 2, bearing: Math.PI / 2 });
  });

  it('past an end are those of the end, at its distance', () => {
    expect(stationOn(northThenEast, 3, -4)).toMatchObject({ station: 0, offset: 5 });
    expect(stationOn(northThenEast, 53, 104)).toMatchObject({ station: 150, offset: -5 });
  });

  it('pass over a vertex that is there twice, and a line without length has none', () => {
    const doubled: CentreLine = [
      [0, 0],
      [0, 0],
      [0, 100],
    ];
    expect(stationOn(doubled, 3, 40)).toMatchObject({ station: 40, offset: 3 });
    expect(
      stationOn(
        [
          [5, 5],
          [5, 5],
        ],
        3,
        40,
      ),
    ).toBeNull();
    expect(stationOn([], 3, 40)).toBeNull();
  });

  it('found from a place that was set out by station and offset are these again, whichever way the street runs', () => {
    const length = fc.double({ min: 1, max: 500, noNaN: true });
    const part = fc.double({ min: 0, max: 1, noNaN: true });
    const azimuth = fc.double({ min: 0, max: 6.28, noNaN: true });
    const side = fc.double({ min: -30, max: 30, noNaN: true });
    fc.assert(
      fc.property(length, part, azimuth, side, (along, share, bearing, offset) => {
        const [sin, cos] = [Math.sin(bearing), Math.cos(bearing)];
        const line: CentreLine = [
          [500_000, 5_000_000],
          [500_000 + along * sin, 5_000_000 + along * cos],
        ];
        const station = along * share;
        const found = stationOn(
          line,
          500_000 + station * sin + offset * cos,
          5_000_000 + station * cos - offset * sin,
        )!;
        expect(found.station).toBeCloseTo(station, 5);
        expect(found.offset).toBeCloseTo(offset, 5);
        expect(Math.cos(found.bearing - bearing)).toBeCloseTo(1, 9);
      }),
    );
  });
});
