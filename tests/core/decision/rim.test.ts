import { describe, expect, test } from 'vitest';
import { rimAgainstGrade } from '#core/decision/rim.ts';
import { layOutSurvey } from '#core/surface/survey.ts';
import type { Shot } from '#core/surface/types.ts';
import { finishedAt, placeAt, plane, ringOfShots, shot } from '../../helpers/site.ts';

const surface = plane(0.02, 0.01);
const finished = finishedAt(ringOfShots(surface));

const against = (rims: Shot[], more: { rimElevation?: number | null; setDown?: number } = {}) =>
  rimAgainstGrade(layOutSurvey(rims, 'rims', null), placeAt(), {
    finished,
    rimElevation: null,
    setDown: 0,
    ...more,
  });

const onRim = (lift: (e: number, n: number) => number, count = 4) =>
  ringOfShots((e, n) => surface(e, n) + lift(e, n), { count, radius: 0.33, role: 'rim' });

describe('the rim against the finished grade', () => {
  test('three shots or more give its level and its tilt', () => {
    for (const count of [3, 4, 8]) {
      const rim = against(onRim((e) => -0.01 + 0.03 * e, count))!;
      expect(rim.centre).toBeCloseTo(-0.01, 6);
      expect(rim.worst).toBeCloseTo(0.01 + 0.03 * 0.33, 6);
      expect(rim.shots).toBe(count);
    }
  });

  test('the set-down is where the rim is wanted', () => {
    expect(
      against(
        onRim(() => -0.006),
        { setDown: 0.006 },
      )!.worst,
    ).toBeCloseTo(0, 6);
  });

  test('two shots, or three on a line across, say nothing of the tilt', () => {
    const [a, b] = onRim(() => 0.004, 2);
    expect(against([a, b])).toMatchObject({ worst: null, shots: 2 });
    expect(against([a, b])!.centre).toBeCloseTo(0.004, 6);
    const middle = shot(0, 0, surface(0, 0) + 0.004, { role: 'rim' });
    expect(against([a, middle, b])).toMatchObject({ worst: null, shots: 3 });
  });

  test('one place shot twice counts once: with a second place it is two, not three', () => {
    const [a, b] = onRim(() => 0, 2);
    const again = { ...a, east: a.east + 0.012, north: a.north + 0.009 };
    expect(against([a, again, b])).toMatchObject({ worst: null, shots: 3 });
  });

  test('one elevation of the register stands in for shots, and none is unknown', () => {
    expect(against([], { rimElevation: 100.02 })).toEqual({
      centre: expect.closeTo(0.02, 6),
      worst: null,
      shots: 0,
    });
    expect(against([])).toBeNull();
  });

  test('shots of another cover are not its own', () => {
    const other = ringOfShots(surface, { count: 4, radius: 0.33, role: 'rim', centre: [1.2, 0] });
    expect(against(other)).toBeNull();
  });
});
