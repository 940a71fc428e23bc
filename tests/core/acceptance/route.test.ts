import { describe, expect, test } from 'vitest';
import { fourClocks, judgeRim } from '#core/acceptance/rim.ts';
import {
  accessibleOpening,
  accessibleStandard,
  judgeRoute,
  levelChangeOf,
  type RouteMeasured,
} from '#core/acceptance/route.ts';

const inch = 0.0254;
const nothing: RouteMeasured = { levelChange: 0, bevel: null, crossSlope: 0, opening: 0 };
const judge = (change: Partial<RouteMeasured>) => judgeRoute({ ...nothing, ...change }, accessibleStandard);

describe('the rule of an accessible route', () => {
  test('2010 ADA Standards 303.2, PROWAG R302.6.2: a vertical step up to 1/4 in', () => {
    expect(judge({ levelChange: 0.25 * inch })).toMatchObject({ level: 'within', isOff: false });
    expect(judge({ levelChange: 0.26 * inch })).toMatchObject({ level: 'needsBevel', isOff: true });
  });

  test('303.3: to 1/2 in with a bevel not steeper than 1:2; 303.4: past that a ramp', () => {
    expect(judge({ levelChange: 0.5 * inch, bevel: { rise: 0.25 * inch, run: 0.5 * inch } })).toMatchObject({
      level: 'within',
      isOff: false,
    });
    expect(judge({ levelChange: 0.4 * inch, bevel: { rise: 0.4 * inch, run: 0.78 * inch } })).toMatchObject({
      level: 'tooSteepBevel',
      isOff: true,
    });
    expect(judge({ levelChange: 0.51 * inch, bevel: { rise: 0.51 * inch, run: 5.1 * inch } })).toMatchObject({
      level: 'off',
      isOff: true,
    });
  });

  test('303.3 and its advisory: 1/4 in vertical under 1/4 in of bevel, never more than 1/4 in left vertical', () => {
    const step = 0.5 * inch;
    expect(judge({ levelChange: step, bevel: { rise: 0.24 * inch, run: inch } })).toMatchObject({
      level: 'lowBevel',
      isOff: true,
    });
    expect(judge({ levelChange: step, bevel: { rise: step, run: inch } }).level).toBe('within');
  });

  test('403.3, PROWAG R302.5.1: cross slope 1:48 as a ratio; the printed 2.1 % is past it', () => {
    expect(judge({ crossSlope: 1 / 48 })).toMatchObject({ slope: 'within', isOff: false });
    expect(judge({ crossSlope: 0.0208 }).slope).toBe('within');
    expect(judge({ crossSlope: 0.021 })).toMatchObject({ slope: 'off', isOff: true });
  });

  test('302.3, PROWAG R302.6.3: no opening passes a sphere of 1/2 in', () => {
    expect(judge({ opening: accessibleOpening })).toMatchObject({ opening: 'within', isOff: false });
    expect(judge({ opening: 0.51 * inch })).toMatchObject({ opening: 'off', isOff: true });
  });

  test('what was not measured is not within; openings alone may stay unmeasured', () => {
    expect(judge({ levelChange: null })).toMatchObject({
      level: 'notMeasured',
      isMeasured: false,
      isOff: false,
    });
    expect(judge({ crossSlope: null })).toMatchObject({ slope: 'notMeasured', isMeasured: false });
    expect(judge({ opening: null })).toMatchObject({ opening: 'notMeasured', isMeasured: true });
  });

  test('the step at a rim is against the surface beside it, which lies the set-down over the target', () => {
    const rim = judgeRim(fourClocks([0, 0.001, 0, -0.001]), { proud: 1, low: 1 }, 0)!;
    expect(levelChangeOf(rim, 0.003)).toBeCloseTo(0.004, 9);
    expect(levelChangeOf(rim, 0)).toBeCloseTo(0.001, 9);
    const two = judgeRim(fourClocks([0, 0.002, 0, 0]).slice(0, 2), { proud: 1, low: 1 }, 0)!;
    expect(levelChangeOf(two, 0)).toBeCloseTo(0.002, 9);
  });
});
