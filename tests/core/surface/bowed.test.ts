import { describe, expect, it } from 'vitest';
import { bowPieces } from '../../../core/surface/bowed.ts';
import { joinLines, type LinePiece } from '../../../core/surface/breakLines.ts';

/** Shots on a circle about the origin, so many metres of arc apart. */
const onCircle = (radius: number, every: number, count: number) =>
  Array.from({ length: count }, (_, i) => {
    const turn = (i * every) / radius;
    return { east: radius * Math.sin(turn), north: radius * Math.cos(turn), role: 'crown' as const };
  });

const offCircle = (radius: number, pieces: readonly LinePiece[]): number =>
  Math.max(
    ...pieces.flatMap(({ e1, n1, e2, n2 }) => [
      Math.abs(Math.hypot(e1, n1) - radius),
      Math.abs(Math.hypot((e1 + e2) / 2, (n1 + n2) / 2) - radius),
    ]),
  );

describe('pieces of a line in a curve', () => {
  // Sagitta of a chord, L^2 / 8R: 0.76 m here. Any textbook of route surveying; from memory.
  it.each([80, -80])('follow the circle through their shots, radius %s', (radius) => {
    const pieces = joinLines(onCircle(radius, 22, 8), 'crown');
    expect(pieces.length).toBeGreaterThan(7);
    expect(offCircle(Math.abs(radius), pieces)).toBeLessThan(0.011);
    expect(pieces.every(({ doubt = 0 }) => doubt < 0.5)).toBe(true);
  });

  it('between two shots of a circle have no doubt, and at the ends of the line half a sagitta', () => {
    const pieces = joinLines(onCircle(80, 22, 6), 'crown');
    const doubts = pieces.map(({ doubt = 0 }) => doubt);
    expect(Math.max(...doubts)).toBeCloseTo((22 * 22) / (8 * 80) / 2, 1);
    expect(doubts.filter((doubt) => doubt === 0).length).toBeGreaterThan(doubts.length / 2);
  });

  it('on a straight, and alone, stay as they are', () => {
    const straight = [0, 20, 45, 60].map((east) => ({ east, north: 0.1 * east, role: 'gutter' as const }));
    expect(joinLines(straight, 'gutter')).toHaveLength(3);
    const alone: LinePiece = { kind: 'crown', e1: 0, n1: 0, e2: 20, n2: 3 };
    expect(bowPieces([alone])).toEqual([alone]);
  });

  it('do not run an arc round a corner', () => {
    const corner: LinePiece[] = [
      { kind: 'gutter', e1: 0, n1: 0, e2: 20, n2: 0 },
      { kind: 'gutter', e1: 20, n1: 0, e2: 20, n2: 20 },
    ];
    expect(bowPieces(corner)).toEqual(corner);
  });

  it('meet at the shots whichever way a piece was drawn', () => {
    const [a, b, c] = onCircle(60, 20, 3);
    const drawn = (turned: boolean): LinePiece[] => [
      { kind: 'crown', e1: a.east, n1: a.north, e2: b.east, n2: b.north },
      turned
        ? { kind: 'crown', e1: c.east, n1: c.north, e2: b.east, n2: b.north }
        : { kind: 'crown', e1: b.east, n1: b.north, e2: c.east, n2: c.north },
    ];
    for (const turned of [false, true]) expect(offCircle(60, bowPieces(drawn(turned)))).toBeLessThan(0.011);
  });
});
