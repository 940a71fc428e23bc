import { describe, expect, it } from 'vitest';
import { makeBearings } from '#core/alignment/bearing.ts';

const degrees = (radians: number | null) => (radians === null ? null : (radians * 180) / Math.PI);

describe('the road bearing from centre lines', () => {
  const bearingAt = makeBearings(
    [
      {
        street: 'Alder Street',
        line: [
          [0, 0],
          [0, 100],
          [100, 200],
        ],
      },
      {
        street: 'Birch Lane',
        line: [
          [-100, 50],
          [100, 50],
        ],
      },
      {
        street: null,
        line: [
          [500, 0],
          [400, 0],
        ],
      },
    ],
    40,
  );
  const at = (east: number, north: number, street: string | null = null) =>
    degrees(bearingAt({ east, north, street }));

  it('is that of the nearest line, up-station as it is drawn', () => {
    expect(at(3, 20)).toBeCloseTo(0, 9);
    expect(at(50, 160)).toBeCloseTo(45, 9);
    expect(at(-50, 45)).toBeCloseTo(90, 9);
    expect(at(450, 5)).toBeCloseTo(270, 9);
  });

  it('at a crossing is that of the street that the register names', () => {
    expect(at(1, 48, 'Birch Lane')).toBeCloseTo(90, 9);
    expect(at(1, 48, 'Alder Street')).toBeCloseTo(0, 9);
    expect(at(1, 48, 'Cedar Way')).toBeCloseTo(0, 9);
  });

  it('is unknown past the limit', () => {
    expect(at(450, 39)).toBeCloseTo(270, 9);
    expect(at(450, 41)).toBeNull();
  });
});
