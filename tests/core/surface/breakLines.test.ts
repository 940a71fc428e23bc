import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crosses, joinLines, type LinePiece, nearestOnPiece } from '#core/surface/breakLines.ts';
import { shot } from '../../helpers/site.ts';

const crown = (points: [number, number][]) => points.map(([e, n]) => shot(e, n, 100, { role: 'crown' }));
const ends = ({ e1, n1, e2, n2 }: LinePiece) =>
  [
    [e1, n1],
    [e2, n2],
  ]
    .sort((a, b) => a[0] - b[0] || a[1] - b[1])
    .join(' ');

describe('joining coded shots into lines', () => {
  const run: [number, number][] = [0, 10, 19, 30, 40].map((n) => [0.02 * n, n]);

  test('follows a line whatever the order of its shots', () => {
    fc.assert(
      fc.property(fc.shuffledSubarray(run, { minLength: 5, maxLength: 5 }), (points) => {
        const pieces = joinLines(crown(points), 'crown').map(ends).sort();
        expect(pieces).toEqual(joinLines(crown(run), 'crown').map(ends).sort());
        expect(pieces).toHaveLength(4);
      }),
    );
  });

  test('joins only shots of the kind asked for, near enough, and not one place shot twice', () => {
    expect(joinLines(crown(run), 'gutter')).toEqual([]);
    expect(
      joinLines(
        crown([
          [0, 0],
          [0, 40],
        ]),
        'crown',
      ),
    ).toEqual([]);
    expect(
      joinLines(
        crown([
          [0, 0],
          [0.01, 0.01],
        ]),
        'crown',
      ),
    ).toEqual([]);
  });

  test('does not tie two lines together across the street', () => {
    const two = [0, 10, 20, 30, 40].flatMap((n): [number, number][] => [
      [0, n],
      [7, n],
    ]);
    const pieces = joinLines(crown(two), 'crown');
    for (const { e1, e2 } of pieces) expect(e1).toBe(e2);
    expect(pieces).toHaveLength(8);
  });
});

describe('a piece of a line', () => {
  const piece: LinePiece = { kind: 'crown', e1: 0, n1: 0, e2: 0, n2: 10 };

  test('is as far as its nearest point, ends included', () => {
    expect(nearestOnPiece(piece, 3, 5)).toMatchObject({ distance: 3, along: 0.5 });
    expect(nearestOnPiece(piece, 3, 14)).toMatchObject({ distance: 5, along: 1 });
    expect(nearestOnPiece(piece, 3, -4)).toMatchObject({ distance: 5, along: 0 });
    expect(nearestOnPiece(piece, 3, 5).azimuth).toBeCloseTo(-Math.PI / 2, 12);
  });

  test('parts a place from shots past it, also a fifth beyond its ends, and no farther', () => {
    expect(crosses(piece, -2, 5, 2, 5)).toBe(true);
    expect(crosses(piece, -2, 5, -1, 5)).toBe(false);
    expect(crosses(piece, -2, 11.5, 2, 11.5)).toBe(true);
    expect(crosses(piece, -2, 12.5, 2, 12.5)).toBe(false);
    expect(crosses(piece, -2, -1.5, 2, -1.5)).toBe(true);
    expect(crosses(piece, -2, -2.5, 2, -2.5)).toBe(false);
  });

  test('where it may lie on either side of a shot, it parts the shot from a cover that stands clear of it', () => {
    const doubted = { ...piece, doubt: 0.4 };
    for (const east of [-0.3, 0.3]) expect(crosses(doubted, -2, 5, east, 5)).toBe(true);
    expect(crosses(doubted, -2, 5, -0.5, 5)).toBe(false);
    expect(crosses(doubted, -2, 5, -0.3, 13)).toBe(false);
    expect(crosses(doubted, -0.35, 5, -0.3, 5)).toBe(false);
    expect(crosses(doubted, -2, 5, 0.02, 5)).toBe(false);
  });

  test('a shot on it belongs to both sides', () => {
    expect(crosses(piece, -2, 5, 0.02, 5)).toBe(false);
    expect(crosses(piece, 0, 5, 2, 5)).toBe(false);
  });
});
