import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { minimaxPlane } from '#core/surface/minimax.ts';

/** Least greatest departure by brute force: the best of the planes that level each four points and each three. */
function bruteForce(x: number[], y: number[], z: number[]): number {
  const n = x.length;
  let best = Infinity;
  const worst = (l: number, a: number, b: number) => {
    let most = 0;
    for (let i = 0; i < n; i++) most = Math.max(most, Math.abs(z[i] - l - a * x[i] - b * y[i]));
    return most;
  };
  const index = Array.from({ length: n }, (_, i) => i);
  for (const i of index)
    for (const j of index.slice(i + 1))
      for (const k of index.slice(j + 1))
        for (const m of index.slice(k + 1))
          for (let signs = 0; signs < 8; signs++) {
            const four = [i, j, k, m];
            const s = four.map((_, q) => (q === 3 ? 1 : (signs >> q) & 1 ? 1 : -1));
            const solved = solve(four.map((p, q) => [1, x[p], y[p], s[q], z[p]]));
            if (solved) best = Math.min(best, worst(solved[0], solved[1], solved[2]));
          }
  return best;
}

/** Gauss with pivots; rows hold their right side last. Null when singular. */
function solve(rows: number[][]): number[] | null {
  const n = rows.length;
  for (let c = 0; c < n; c++) {
    let p = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(rows[r][c]) > Math.abs(rows[p][c])) p = r;
    if (Math.abs(rows[p][c]) < 1e-9) return null;
    [rows[c], rows[p]] = [rows[p], rows[c]];
    for (let r = 0; r < n; r++) {
      if (r === c) continue;
      const f = rows[r][c] / rows[c][c];
      for (let k = c; k <= n; k++) rows[r][k] -= f * rows[c][k];
    }
  }
  return rows.map((row, i) => row[n] / row[i]);
}

describe('the plane of least greatest departure', () => {
  it('of points in a plane is that plane', () => {
    const x = [0, 1, 0, 1, 0.5];
    const y = [0, 0, 1, 1, 0.2];
    const plane = minimaxPlane(
      x,
      y,
      x.map((v, i) => 2 + 0.03 * v - 0.01 * y[i]),
    );
    expect(plane?.level).toBeCloseTo(2, 12);
    expect(plane?.east).toBeCloseTo(0.03, 12);
    expect(plane?.north).toBeCloseTo(-0.01, 12);
    expect(plane?.misfit).toBeLessThan(1e-12);
  });

  it('of a saddle leaves each corner by the same', () => {
    const plane = minimaxPlane([1, -1, 1, -1], [1, 1, -1, -1], [0.01, -0.01, -0.01, 0.01]);
    expect(plane?.misfit).toBeCloseTo(0.01, 12);
    expect(plane?.level).toBeCloseTo(0, 12);
  });

  it('of a ridge is a quarter of the bend times the radius away (Chebyshev)', () => {
    const angles = Array.from({ length: 72 }, (_, i) => (i * Math.PI) / 36);
    const x = [0, ...angles.map((a) => 0.33 * Math.sin(a))];
    const y = [0, ...angles.map((a) => 0.33 * Math.cos(a))];
    const plane = minimaxPlane(
      x,
      y,
      x.map((v) => -0.02 * Math.abs(v)),
    );
    expect(plane?.misfit).toBeCloseTo((0.04 * 0.33) / 4, 12);
    expect(plane?.level).toBeCloseTo(-(0.04 * 0.33) / 4, 12);
  });

  it('of points on one line or at one place is none', () => {
    expect(minimaxPlane([0, 1, 2], [0, 1, 2], [0, 1, 5])).toBeNull();
    expect(minimaxPlane([0, 0], [0, 0], [1, 2])).toBeNull();
    expect(minimaxPlane([], [], [])).toBeNull();
  });

  it('is as good as the best found by trying every four points', () => {
    const value = fc.integer({ min: -10, max: 10 }).map((v) => v / 10);
    const points = fc.array(fc.tuple(value, value, value), { minLength: 4, maxLength: 8 });
    let tried = 0;
    fc.assert(
      fc.property(points, (all) => {
        const [x, y, z] = [0, 1, 2].map((k) => all.map((p) => p[k]));
        const plane = minimaxPlane(x, y, z);
        if (!plane) return;
        tried++;
        const least = bruteForce(x, y, z);
        if (least === Infinity) return;
        expect(plane.misfit).toBeGreaterThanOrEqual(least - 1e-9);
        expect(plane.misfit).toBeLessThanOrEqual(least + 1e-9);
      }),
      { numRuns: 300, seed: 5 },
    );
    expect(tried).toBeGreaterThan(200);
  });
});
