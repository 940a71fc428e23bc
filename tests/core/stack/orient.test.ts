import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { turnOne, turnTwo } from '#core/stack/orient.ts';

const free = { positions: 0, from: 0, slack: 0 };
const deg = Math.PI / 180;
const degreesOf = (angle: number) => (((angle / deg) % 360) + 360) % 360;
const spread = (least: number, most: number) =>
  fc.integer({ min: 0, max: 100_000 }).map((k) => least + ((most - least) * k) / 100_000);

/** Length of the sum of two taper gradients, from the components. */
const sum = (t1: number, a1: number, t2: number, a2: number) =>
  Math.hypot(t1 * Math.sin(a1) + t2 * Math.sin(a2), t1 * Math.cos(a1) + t2 * Math.cos(a2));

describe('two tapered rings turned against each other', () => {
  // Two rotating wedges: s^2 = t1^2 + t2^2 + 2 t1 t2 cos(turn), the law of cosines. From derivation; no published
  // numeric example was found.
  test('together make the slope that the law of cosines says', () => {
    fc.assert(
      fc.property(spread(0.005, 0.05), spread(0.005, 0.05), spread(0, 1), (t1, t2, share) => {
        const s = Math.abs(t1 - t2) + share * (t1 + t2 - Math.abs(t1 - t2));
        for (const turn of turnTwo([s * Math.sin(1), s * Math.cos(1)], t1, t2, free)) {
          const between = turn.first - turn.second;
          expect(t1 * t1 + t2 * t2 + 2 * t1 * t2 * Math.cos(between)).toBeCloseTo(s * s, 10);
          expect(sum(t1, turn.first, t2, turn.second)).toBeCloseTo(s, 10);
          expect(turn.miss).toBeCloseTo(0, 12);
        }
      }),
    );
  });

  test('opposed and equal they cancel, aligned they add up', () => {
    const [level] = turnTwo([0, 0], 0.03, 0.03, free);
    expect(degreesOf(level.first - level.second)).toBeCloseTo(180, 9);
    const [steep] = turnTwo([0.06, 0], 0.03, 0.03, free);
    expect(steep).toMatchObject({ first: Math.PI / 2, second: Math.PI / 2 });
    expect(steep.miss).toBeCloseTo(0, 12);
    expect(turnTwo([0.08, 0], 0.03, 0.03, free)[0].miss).toBeCloseTo(0.02, 12);
  });

  test('unequal ones cannot make less than their difference, whichever lies lower', () => {
    for (const [t1, t2] of [
      [0.04, 0.01],
      [0.01, 0.04],
    ]) {
      const [turn] = turnTwo([0, 0.01], t1, t2, free);
      expect(turn.miss).toBeCloseTo(0.02, 12);
      expect(sum(t1, turn.first, t2, turn.second)).toBeCloseTo(0.03, 12);
    }
  });

  test.each([1, 2, 6, 24])(
    'with %i marks hold the best pair of marks that trying all pairs finds',
    (positions) => {
      fc.assert(
        fc.property(
          fc.tuple(spread(-0.06, 0.06), spread(-0.06, 0.06)),
          spread(0.005, 0.05),
          spread(0.005, 0.05),
          spread(0, 6),
          (want, t1, t2, from) => {
            const mark = (i: number) => from + (2 * Math.PI * i) / positions;
            let least = Infinity;
            for (let i = 0; i < positions; i++)
              for (let j = 0; j < positions; j++) {
                const e = want[0] - t1 * Math.sin(mark(i)) - t2 * Math.sin(mark(j));
                const n = want[1] - t1 * Math.cos(mark(i)) - t2 * Math.cos(mark(j));
                least = Math.min(least, Math.hypot(e, n));
              }
            const turns = turnTwo(want, t1, t2, { positions, from, slack: 1e-9 });
            expect(Math.min(...turns.map((t) => t.miss))).toBeCloseTo(least, 10);
          },
        ),
        { numRuns: 200 },
      );
    },
  );
});

describe('one tapered ring', () => {
  test('points its thick side up the slope where any angle is allowed', () => {
    const [turn] = turnOne([0.02, 0], 0.03, free);
    expect(degreesOf(turn.first)).toBeCloseTo(90, 9);
    expect(turn.miss).toBeCloseTo(0.01, 12);
    expect(turnOne([0, 0], 0.03, { ...free, from: 1 })[0]).toMatchObject({ first: 1, miss: 0.03 });
  });

  test('goes to the nearest mark, and both marks are kept where they are as good', () => {
    const marks = { positions: 4, from: 0, slack: 1e-9 };
    expect(turnOne([0.03 * Math.sin(0.5), 0.03 * Math.cos(0.5)], 0.03, marks)).toHaveLength(1);
    const turns = turnOne([0.03 * Math.sin(-Math.PI / 4), 0.03 * Math.cos(Math.PI / 4)], 0.03, marks);
    expect(turns.map((t) => degreesOf(t.first)).sort((a, b) => a - b)).toEqual([0, 270]);
  });
});
