import { describe, expect, test } from 'vitest';
import { finishedFromRoad } from '#core/surface/fromRoad.ts';

describe('finished grade from grade, cross slope and bearing', () => {
  test('is that plane, with the sigma of its figures', () => {
    const road = {
      elevation: 100,
      grade: 0.03,
      crossSlope: -0.02,
      bearing: Math.PI / 2,
      sigma: 0.003,
      sigmaSlope: 0.01,
      source: 'plan sheet 4',
    };
    const grade = finishedFromRoad(road, 0.4);
    // Eastbound: the grade is the east component, falling to the right is falling to the south.
    expect(grade.gradient[0]).toBeCloseTo(0.03, 12);
    expect(grade.gradient[1]).toBeCloseTo(0.02, 12);
    expect(grade.sigmaRim).toBeCloseTo(0.005, 12);
    expect(grade).toMatchObject({
      elevation: 100,
      sigma: 0.003,
      method: 'gradeAndCrossSlope',
      surface: 'plan sheet 4',
    });
  });
});
