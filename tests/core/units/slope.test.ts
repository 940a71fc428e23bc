import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  degrees,
  fallAzimuth,
  gradientFromRoad,
  gradientFromThreePoints,
  gradientFromTwoSlopes,
  normaliseAzimuth,
  radians,
  roadFromGradient,
  slopeAlong,
  slopeOf,
} from '#core/units/slope.ts';

const ratio = fc.double({ min: -0.5, max: 0.5, noNaN: true });
const azimuth = fc.double({ min: 0, max: 2 * Math.PI, noNaN: true });

describe('grade and cross slope', () => {
  test('3 % up and 2 % down to the right on a bearing of 40 degrees fall 3.606 % toward 186.3 degrees', () => {
    // Invented figures; the composition is that of two perpendicular slopes: tan of the turn is 2/3.
    const gradient = gradientFromRoad({ grade: 0.03, crossSlope: -0.02 }, radians(40));
    expect(gradient[0]).toBeCloseTo(0.003963, 6);
    expect(gradient[1]).toBeCloseTo(0.035837, 6);
    expect(slopeOf(gradient)).toBeCloseTo(0.03606, 5);
    expect(degrees(fallAzimuth(gradient))).toBeCloseTo(186.3, 1);
    expect(degrees(fallAzimuth(gradient))).toBeCloseTo(220 - degrees(Math.atan(2 / 3)), 9);
  });

  test('grade and cross slope come back from the gradient on the same bearing', () => {
    fc.assert(
      fc.property(ratio, ratio, azimuth, (grade, crossSlope, bearing) => {
        const back = roadFromGradient(gradientFromRoad({ grade, crossSlope }, bearing), bearing);
        expect(back.grade).toBeCloseTo(grade, 12);
        expect(back.crossSlope).toBeCloseTo(crossSlope, 12);
      }),
    );
  });

  // Drainage gradient DG = sqrt(i^2 + E^2) (encyclopedia text "Drainage gradient").
  test.each([
    [0.049, 0.02, 0.0529],
    [0.05, 0.02, 0.05385],
  ])('%f with %f drains at %f', (grade, crossSlope, drainage) => {
    expect(slopeOf(gradientFromRoad({ grade, crossSlope }, 1))).toBeCloseTo(drainage, 4);
  });

  test('4.9 % and 2 % do not make the 5.7 % of a public forum (thebuildingcodeforum.com)', () => {
    expect(slopeOf([0.049, 0.02])).not.toBeCloseTo(0.057, 3);
  });
});

describe('planes from measured slopes', () => {
  test('dips of 20 degrees toward 296 and 30 degrees toward 046 are a plane dipping 39.72 degrees due north', () => {
    // Two apparent dips, Example 3 of studylib document 6673877 (graphical answer: 40 N); computed to 39.72.
    const gradient = gradientFromTwoSlopes(
      { slope: -Math.tan(radians(20)), azimuth: radians(296) },
      { slope: -Math.tan(radians(30)), azimuth: radians(46) },
    );
    expect(-gradient![0]).toBeCloseTo(0.00028, 5);
    expect(-gradient![1]).toBeCloseTo(0.83084, 5);
    expect(degrees(Math.atan(slopeOf(gradient!)))).toBeCloseTo(39.72, 2);
    expect(degrees(fallAzimuth(gradient!))).toBeCloseTo(0.02, 2);
  });

  test('the plane through (400,100,400), (0,0,200), (0,300,500) dips 45.868 degrees toward 194.04', () => {
    // Points of GG303 Lab 3 (2011), coursehero 6603303; its answer is blank, so computed: a 0.25, b 1.
    const gradient = gradientFromThreePoints([400, 100, 400], [0, 0, 200], [0, 300, 500]);
    expect(gradient![0]).toBeCloseTo(0.25, 12);
    expect(gradient![1]).toBeCloseTo(1, 12);
    expect(slopeOf(gradient!)).toBeCloseTo(1.030776, 6);
    expect(degrees(Math.atan(slopeOf(gradient!)))).toBeCloseTo(45.868, 2);
    expect(degrees(fallAzimuth(gradient!))).toBeCloseTo(194.04, 2);
  });

  test('an apparent dip is the true one times the cosine of the angle between them', () => {
    // tan(apparent) = tan(true) cos(angle): structural geology glossaries; thecivilengineer.org has the cotangents.
    fc.assert(
      fc.property(azimuth, azimuth, fc.double({ min: 0.001, max: 1, noNaN: true }), (fall, along, slope) => {
        const gradient = [-slope * Math.sin(fall), -slope * Math.cos(fall)] as const;
        expect(slopeAlong(gradient, along)).toBeCloseTo(-slope * Math.cos(along - fall), 12);
      }),
    );
  });

  test('two slopes of a plane give the plane back', () => {
    fc.assert(
      fc.property(
        ratio,
        ratio,
        azimuth,
        fc.double({ min: 0.2, max: 2.9, noNaN: true }),
        (east, north, one, turn) => {
          const read = (angle: number) => ({ slope: slopeAlong([east, north], angle), azimuth: angle });
          const gradient = gradientFromTwoSlopes(read(one), read(one + turn));
          expect(gradient![0]).toBeCloseTo(east, 9);
          expect(gradient![1]).toBeCloseTo(north, 9);
        },
      ),
    );
  });

  test('parallel readings and points on a line give no plane', () => {
    expect(
      gradientFromTwoSlopes({ slope: 0.1, azimuth: 1 }, { slope: 0.2, azimuth: 1 + Math.PI }),
    ).toBeNull();
    expect(gradientFromThreePoints([0, 0, 1], [5, 0, 1], [10, 0, 1])).toBeNull();
    expect(gradientFromThreePoints([1, 1, 1], [1, 1, 1], [1, 1, 2])).toBeNull();
  });
});

test('azimuths come into one turn, and a level plane falls nowhere', () => {
  expect(normaliseAzimuth(-Math.PI / 2)).toBeCloseTo(1.5 * Math.PI, 12);
  expect(normaliseAzimuth(5 * Math.PI)).toBeCloseTo(Math.PI, 12);
  expect(normaliseAzimuth(-1e-20)).toBe(0);
  expect(fallAzimuth([0, 0])).toBe(0);
});
