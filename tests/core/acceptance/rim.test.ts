import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fourClocks, judgeRim, type RimReading } from '#core/acceptance/rim.ts';

const [mm, inch] = [0.001, 0.0254];
const flat = (error: number) => fourClocks([error, error, error, error]);
const state = (readings: readonly RimReading[], proud: number, low: number, sigma = 0) =>
  judgeRim(readings, { proud, low }, sigma)!.state;

describe('published limits of a rim', () => {
  test('UK SROH S2.5: a fixed feature ±6 mm, a drainage feature 0 to -6 mm', () => {
    expect([-6.1, -6, 0, 6, 6.1].map((error) => state(flat(error * mm), 6 * mm, 6 * mm))).toEqual([
      'off',
      'within',
      'within',
      'within',
      'off',
    ]);
    expect([-6.1, -6, 0, 0.1].map((error) => state(flat(error * mm), 0, 6 * mm))).toEqual([
      'off',
      'within',
      'within',
      'off',
    ]);
  });

  test('Snohomish County WA, EDDS 8-08 A: 1/4 in of finished grade; the inch is exact', () => {
    expect(
      [-0.26, -0.25, 0.25, 0.26].map((error) => state(flat(error * inch), 0.25 * inch, 0.25 * inch)),
    ).toEqual(['off', 'within', 'within', 'off']);
  });

  test('Roseville MN 703.3: 1/4 in below the finished wearing surface is the target, not the limit', () => {
    // A rim flush with the surface is 1/4 in proud of that target.
    const target = -0.25 * inch;
    expect(state(flat(0 - target), 0.125 * inch, 0.125 * inch)).toBe('off');
    expect(state(flat(-0.25 * inch - target), 0.125 * inch, 0.125 * inch)).toBe('within');
  });

  test('Melbourne Water 6.10.2: ±5 mm', () => {
    expect([-5.1, -5, 5, 5.1].map((error) => state(flat(error * mm), 5 * mm, 5 * mm))).toEqual([
      'off',
      'within',
      'within',
      'off',
    ]);
  });

  test('Scotland SROR v3 draft, S2.2.1(1): +6 / -3 mm', () => {
    expect([-3.1, -3, 6, 6.1].map((error) => state(flat(error * mm), 6 * mm, 3 * mm))).toEqual([
      'off',
      'within',
      'within',
      'off',
    ]);
  });
});

describe('a rim round the clock', () => {
  const limits = { proud: 6 * mm, low: 6 * mm };

  test('between the clocks the plane may lie farther off: 5 mm at 12 and 3 is 7.1 mm at 1:30', () => {
    const rim = judgeRim(fourClocks([5 * mm, 5 * mm, -5 * mm, -5 * mm]), limits, 0)!;
    expect(rim.clocks.every((clock) => clock.state === 'within')).toBe(true);
    expect(rim.plane!.highest.clock).toBeCloseTo(1.5, 9);
    expect(rim.plane!.highest.error).toBeCloseTo(5 * Math.SQRT2 * mm, 9);
    expect(rim.plane!.lowest.clock).toBeCloseTo(7.5, 9);
    expect(rim).toMatchObject({ state: 'off', worst: { state: 'off' } });
  });

  test('the limit that is passed farthest decides, on its own side', () => {
    const rim = judgeRim(fourClocks([1 * mm, -4 * mm, -4 * mm, -4 * mm]), { proud: 0, low: 6 * mm }, 0)!;
    expect(rim.worst.error).toBeGreaterThan(0);
    expect(rim.worst.over).toBeCloseTo(1 * mm, 9);
  });

  test('the doubt of the plane is that of least squares: sigma x sqrt(3/4) at the rim from four clocks', () => {
    const { plane, clocks } = judgeRim(flat(0), limits, 2 * mm)!;
    expect(clocks[0].allowance).toBeCloseTo(4 * mm, 12);
    expect(plane!.highest.allowance).toBeCloseTo(4 * Math.sqrt(3 / 4) * mm, 12);
    expect(state(flat(5 * mm), 6 * mm, 6 * mm, 1 * mm)).toBe('doubtful');
    expect(state(flat(3.9 * mm), 6 * mm, 6 * mm, 1 * mm)).toBe('within');
    expect(state(flat(7 * mm), 6 * mm, 6 * mm, 20 * mm)).toBe('off');
  });

  test('a shot that does not lie in the plane of the others is seen where their sigma shows it', () => {
    const four = fourClocks([4 * mm, 0, 0, 0]);
    expect(judgeRim(four, limits, 0.5 * mm)!.plane).toMatchObject({ isUneven: true });
    expect(judgeRim(four, limits, 0.5 * mm)!.plane!.misfit).toBeCloseTo(1 * mm, 12);
    expect(judgeRim(four, limits, 1 * mm)!.plane).toMatchObject({ isUneven: false });
    // Three shots lie in one plane whatever they are.
    expect(judgeRim(four.slice(0, 3), limits, 0)!.plane).toMatchObject({ isUneven: false });
  });

  test('fewer than three clocks show no plane, none is no check', () => {
    expect(judgeRim(fourClocks([0, 0, 0, 0]).slice(0, 2), limits, 0)).toMatchObject({
      plane: null,
      state: 'within',
    });
    expect(
      judgeRim(
        [
          { clock: 12, error: 0 },
          { clock: 12, error: 0 },
          { clock: 3, error: 9 * mm },
        ],
        limits,
        0,
      ),
    ).toMatchObject({ plane: null, state: 'off' });
    expect(judgeRim([], limits, 0)).toBeNull();
    expect(fourClocks([1, 2, 3, 4]).map(({ clock }) => clock)).toEqual([12, 3, 6, 9]);
  });

  test('for shots of any plane at any clocks, that plane comes back and its extremes are the extremes', () => {
    const size = fc.double({ min: -0.02, max: 0.02, noNaN: true });
    const clocks = fc.uniqueArray(fc.integer({ min: 1, max: 24 }), { minLength: 3, maxLength: 8 });
    fc.assert(
      fc.property(size, size, size, clocks, (centre, right, up, halves) => {
        const at = (clock: number) =>
          centre + right * Math.sin((clock * Math.PI) / 6) + up * Math.cos((clock * Math.PI) / 6);
        const { plane } = judgeRim(
          halves.map((half) => ({ clock: half / 2, error: at(half / 2) })),
          limits,
          0,
        )!;
        expect(plane!.centre).toBeCloseTo(centre, 9);
        for (let clock = 0; clock < 12; clock += 0.1) {
          expect(at(clock)).toBeLessThanOrEqual(plane!.highest.error + 1e-9);
          expect(at(clock)).toBeGreaterThanOrEqual(plane!.lowest.error - 1e-9);
        }
        expect(at(plane!.highest.clock)).toBeCloseTo(plane!.highest.error, 9);
        for (const { clock } of [plane!.highest, plane!.lowest]) expect(clock > 0 && clock <= 12).toBe(true);
      }),
    );
  });
});
