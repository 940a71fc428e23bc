import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  judgeStraightedge,
  lineOf,
  type ProfilePoint,
  readingsFault,
  readProfile,
  shownBy,
} from '#core/acceptance/straightedge.ts';

const [inch, foot] = [0.0254, 0.3048];
const mat = (x: number, z: number): ProfilePoint => ({ x, z, on: 'mat' });
const casting = (x: number, z: number): ProfilePoint => ({ x, z, on: 'casting' });
/** A casting of 0.66 m in the middle of 3 m of mat on a slope, `by` over it. */
const cover = (by: number, slope = 0): ProfilePoint[] => [
  ...[0, 0.5, 1, 1.15, 1.85, 2, 2.5, 3].map((x) => mat(x, slope * x)),
  ...[1.17, 1.5, 1.83].map((x) => casting(x, slope * x + by)),
];

describe('a straightedge on a profile', () => {
  test('a flush cover shows nothing, on any slope', () => {
    for (const slope of [0, 0.04]) {
      const { gap, proud } = readProfile(cover(0, slope), 3)!;
      expect(gap.size).toBeCloseTo(0, 12);
      expect(proud.size).toBeCloseTo(0, 12);
    }
  });

  test('a low cover is a gap as deep as it is low, square to the edge; a proud one is a step of its height', () => {
    const low = readProfile(cover(-0.005, 0.04), 3)!;
    expect(low.gap.size).toBeCloseTo(0.005 / Math.hypot(1, 0.04), 9);
    expect(low.gap.at).toBeGreaterThan(1.1);
    expect(low.proud).toEqual({ size: 0, at: null });
    const high = readProfile(cover(0.005), 3)!;
    expect(high.proud.size).toBeCloseTo(0.005, 12);
    expect(high.proud.at).toBeCloseTo(1.17, 12);
    // The edge rests on the cover and the far mat: beside the cover, 1.17 m from the end, it stands off by nearly all of it.
    expect(high.gap).toEqual({ size: expect.closeTo(0.005 * (1.15 / 1.17), 4), at: 1.15 });
  });

  test('the hull of a worked row: touching 0, 1 and 3 m, the gap is under the longer part', () => {
    const points = [mat(0, 0), mat(1, 0.01), mat(2, 0.002), mat(3, 0.008)];
    const { gap } = readProfile(points, 3)!;
    expect(gap.at).toBe(2);
    expect(gap.size).toBeCloseTo(0.009 - 0.002, 6);
  });

  test('a shorter edge rests on what is under it alone', () => {
    const dip = [mat(0, 0), mat(1, -0.004), mat(2, -0.004), mat(3, 0)];
    expect(readProfile(dip, 3)!.gap.size).toBeCloseTo(0.004, 9);
    expect(readProfile(dip, 2)!.gap.size).toBeLessThan(0.0021);
    expect(readProfile(dip, 0.5)!.gap.size).toBe(0);
  });

  test('one place along the line is no profile, nor is none', () => {
    expect(readProfile([], 3)).toBeNull();
    expect(readProfile([mat(1, 0), casting(1, 0.01)], 3)).toBeNull();
    // Two heights at one place are a vertical face: the edge rests on its top.
    expect(readProfile([mat(0, -1), mat(0, 0), mat(1, -0.01), mat(2, 0)], 3)!.gap.size).toBeCloseTo(1, 9);
  });

  test('no point of the surface lies over the edge, and lifting or turning all of it changes nothing', () => {
    const anyProfile = fc.array(
      fc.tuple(fc.integer({ min: 0, max: 30 }), fc.integer({ min: -9, max: 9 }), fc.boolean()),
      { minLength: 3, maxLength: 12 },
    );
    fc.assert(
      fc.property(anyProfile, fc.integer({ min: -40, max: 40 }), (rows, tilt) => {
        const points = rows.map(
          ([x, z, isMat]): ProfilePoint => ({ x: x / 10, z: z / 1000, on: isMat ? 'mat' : 'casting' }),
        );
        const read = readProfile(points, 3);
        const lifted = readProfile(
          points.map((p) => ({ ...p, z: p.z + 5 + (tilt / 1000) * p.x })),
          3,
        );
        if (read === null) return;
        expect(read.gap.size).toBeGreaterThanOrEqual(0);
        expect(read.proud.size).toBeGreaterThanOrEqual(0);
        expect(lifted!.gap.size).toBeCloseTo(read.gap.size, 3);
      }),
    );
  });
});

describe('readings along an edge', () => {
  const read = (rows: [number, number, 'mat' | 'casting'][]) =>
    rows.map(([atM, downM, on]) => ({ atM, downM, on }));
  const three = (left: number, middle: number, right: number) =>
    read([
      [0, left, 'mat'],
      [1.5, middle, 'casting'],
      [3, right, 'mat'],
    ]);

  test('of a low cover are its gap; of a proud one that the edge rocks on, its step over the mat', () => {
    expect(lineOf(three(0, 0.005, 0), 3)).toMatchObject({ gapM: expect.closeTo(0.005, 9), proudM: 0 });
    // The edge lies on the cover and on the far end; the near end stands off by twice the step.
    const rocking = lineOf(three(0.01, 0, 0), 3)!;
    expect(rocking.proudM).toBeCloseTo(0.005, 6);
    expect(rocking.gapM).toBeCloseTo(0, 9);
  });

  test('without two places where it rests count as they are: no hull makes them smaller', () => {
    const line = { gapM: 0, proudM: 0, readings: three(0.003, 0.006, 0.003) };
    expect(shownBy(line, 3)).toEqual({ gap: 0.006, proud: 0, isAfloat: true });
    const judged = judgeStraightedge(
      { lengthM: 3, along: line, across: null },
      { length: 3, along: 0.005, across: Number.POSITIVE_INFINITY },
    );
    expect(judged).toMatchObject({ isOff: true, lines: [{ isOff: true, isAfloat: true }] });
  });

  test('count in place of the figures beside them', () => {
    const line = { gapM: 0.001, proudM: 0.05, readings: three(0, 0.004, 0) };
    expect(shownBy(line, 3)).toEqual({ gap: expect.closeTo(0.004, 9), proud: 0, isAfloat: false });
    expect(shownBy({ gapM: 0.001, proudM: 0.002 }, 3)).toEqual({ gap: 0.001, proud: 0.002, isAfloat: false });
  });

  test('that show no line are named: too few, past the end, one place twice, on one side alone', () => {
    const good = three(0, 0.004, 0);
    expect(readingsFault(good, 3)).toBeNull();
    expect(readingsFault(good.slice(1), 3)).toMatch(/fewer than 3/);
    expect(readingsFault(good, 2.9)).toMatch(/past the end/);
    expect(readingsFault([...good, good[0]], 3)).toMatch(/read twice/);
    const alike = good.map((one) => ({ ...one, on: 'mat' as const }));
    expect(readingsFault(alike, 3)).toMatch(/none on the casting/);
    expect(lineOf(alike, 3)).toBeNull();
  });

  test('under an edge that lies on the hull of a surface show what the profile itself shows', () => {
    const heights = fc.array(fc.integer({ min: -9, max: 0 }), { minLength: 5, maxLength: 9 });
    fc.assert(
      fc.property(heights, (millimetres) => {
        const last = millimetres.length - 1;
        // Both ends touch: the edge lies level on them, all between lies under it.
        const z = millimetres.map((one, index) => (index === 0 || index === last ? 0 : one / 1000));
        const on = (index: number) => (index === 2 ? 'casting' : 'mat');
        const at = (index: number) => (3 * index) / last;
        const line = lineOf(
          z.map((down, index) => ({ atM: at(index), downM: -down, on: on(index) })),
          3,
        )!;
        const profile = z.map((one, index): ProfilePoint => ({ x: at(index), z: one, on: on(index) }));
        expect(line.gapM).toBeCloseTo(readProfile(profile, 3)!.gap.size, 12);
        expect(line.gapM).toBeCloseTo(-Math.min(...z), 12);
      }),
    );
  });
});

describe('a straightedge against its limits', () => {
  const line = (gap: number, proud = 0) => ({ gapM: gap * inch, proudM: proud * inch });
  /** "Surface smoothness" clauses: 12 ft, 1/8 in along and 1/4 in across, as quoted at lawinsider.com. */
  const clause = { length: 12 * foot, along: inch / 8, across: inch / 4 };

  test('1/8 in along and 1/4 in across under 12 ft: gap and step are held alike', () => {
    const judge = (along: ReturnType<typeof line>, across: ReturnType<typeof line> | null) =>
      judgeStraightedge({ lengthM: 12 * foot, along, across }, clause);
    expect(judge(line(0.125), line(0.25, 0.25))).toMatchObject({ isOff: false, missing: [], isShort: false });
    expect(judge(line(0.13), line(0))).toMatchObject({
      isOff: true,
      lines: [{ way: 'along', isOff: true }, { isOff: false }],
    });
    expect(judge(line(0), line(0, 0.26)).lines.map(({ isOff }) => isOff)).toEqual([false, true]);
    expect(judge(line(0), null)).toMatchObject({
      isOff: false,
      missing: ['across'],
      lines: [{ way: 'along' }],
    });
  });

  test('a shorter edge than the policy’s is said; a way without a limit is not asked for', () => {
    const ten = { lengthM: 10 * foot, along: line(0.1), across: null };
    expect(judgeStraightedge(ten, clause).isShort).toBe(true);
    const along = { ...clause, length: 10 * foot, across: Number.POSITIVE_INFINITY };
    expect(judgeStraightedge(ten, along)).toMatchObject({
      isShort: false,
      missing: [],
      lines: [{ way: 'along' }],
    });
  });
});
