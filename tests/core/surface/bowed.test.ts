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
  });

  it('of two shots alone may lie on any curve of a street: in the middle by the sagitta of its tightest', () => {
    const pieces = bowPieces([{ kind: 'crown', e1: 0, n1: 0, e2: 20, n2: 0 }]);
    expect(pieces.every(({ n1, n2 }) => n1 === 0 && n2 === 0)).toBe(true);
    const doubtAt = (east: number) => pieces.find(({ e1, e2 }) => e1 <= east && east < e2)?.doubt ?? 0;
    // L^2 / 8R with R = 60 m: 0.83 m in the middle, and little beside the shots.
    expect(doubtAt(10)).toBeCloseTo(400 / 480, 3);
    expect(doubtAt(0.1)).toBeLessThan(0.5);
    // Past its ends the line is followed by a fifth of its length, as straight pieces are.
    expect(Math.min(...pieces.map(({ e1 }) => e1))).toBeCloseTo(-4, 9);
    expect(Math.max(...pieces.map(({ e2 }) => e2))).toBeCloseTo(24, 9);
    const short: LinePiece = { kind: 'crown', e1: 0, n1: 0, e2: 2, n2: 0 };
    expect(bowPieces([short])).toEqual([short]);
  });

  it('do not take their turn from a shot that was taken twice, or beside another', () => {
    const shots = onCircle(70, 22, 9);
    const twice = shots.flatMap((s) => [s, { ...s, east: s.east + 0.01, north: s.north - 0.012 }]);
    const pieces = joinLines(twice, 'crown');
    expect(pieces.length).toBeGreaterThan(8);
    expect(offCircle(70, pieces)).toBeLessThan(0.05);
    // Half a metre on, and 2 cm beside the line: as a lever of half a metre that would turn the line by a sagitta of 0.4 m.
    const near = shots.flatMap((s, i) => {
      const turn = (i * 22 + 0.5) / 70;
      return [s, { ...s, east: 69.98 * Math.sin(turn), north: 69.98 * Math.cos(turn) }];
    });
    for (const piece of joinLines(near, 'crown'))
      expect(offCircle(70, [piece])).toBeLessThan(0.06 + (piece.doubt ?? 0));
  });

  it('are not followed for ever round a ring of shots', () => {
    const ring = Array.from({ length: 12 }, (_, i): LinePiece => {
      const [a, b] = [(i * Math.PI) / 6, ((i + 1) * Math.PI) / 6];
      return { kind: 'gutter', e1: Math.cos(a), n1: Math.sin(a), e2: Math.cos(b), n2: Math.sin(b) };
    });
    const away: LinePiece = { kind: 'gutter', e1: 1, n1: 0, e2: 1.5, n2: -25 };
    expect(bowPieces([...ring, away]).some(({ doubt = 0 }) => doubt > 1)).toBe(true);
  });

  it('do not run an arc round a corner', () => {
    const corner: LinePiece[] = [
      { kind: 'gutter', e1: 0, n1: 0, e2: 20, n2: 0 },
      { kind: 'gutter', e1: 20, n1: 0, e2: 20, n2: 20 },
    ];
    const pieces = bowPieces(corner);
    expect(pieces.every(({ e1, n1, e2, n2 }) => (n1 === 0 && n2 === 0) || (e1 === 20 && e2 === 20))).toBe(
      true,
    );
    expect(pieces.every(({ doubt }) => doubt !== undefined)).toBe(true);
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
