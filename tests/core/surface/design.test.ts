import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { defaultDesignLimits, finishedFromDesign, layOutDesign, surfaceAt } from '#core/surface/design.ts';
import { facesAt, planArea, planeOf } from '#core/surface/triangles.ts';
import type { FinishedGrade } from '#core/surface/types.ts';

/** Points east, north, elevation; faces of three indices. */
const design = (points: number[][], faces: number[][], name = 'finished') =>
  layOutDesign({ name, points: points.flat(), faces: faces.flat() }, 1);

const at = (east: number, north: number, rimRadius = 0.33) => ({ east, north, rimRadius, roadBearing: null });

/** Case A11: two faces over a square of 10 m whose common side is a break line. */
const bent = design(
  [
    [0, 0, 100],
    [10, 0, 100.2],
    [0, 10, 100.4],
    [10, 10, 100.8],
  ],
  [
    [0, 1, 2],
    [1, 3, 2],
  ],
);

const square = (z: (e: number, n: number) => number, size = 10) =>
  design(
    [
      [0, 0],
      [size, 0],
      [size, size],
      [0, size],
    ].map(([e, n]) => [e, n, z(e, n)]),
    [
      [0, 1, 2],
      [0, 2, 3],
    ],
  );

const grade = (g: ReturnType<typeof finishedFromDesign>): FinishedGrade => {
  if ('reason' in g) throw new Error(JSON.stringify(g));
  return g;
};

const detail = (g: object) => ('detail' in g ? g.detail : g);

describe('a place on a design surface', () => {
  it('on a shared side is answered once, with the grade of either side (case A11)', () => {
    const there = surfaceAt(bent, 5, 5);
    if ('reason' in there) throw new Error(there.reason);
    expect(there.elevation).toBeCloseTo(100.3, 12);
    expect(there.gradients.map((g) => (100 * Math.hypot(...g)).toFixed(4))).toEqual(['4.4721', '7.2111']);
    const corner = surfaceAt(bent, 10, 0);
    expect(corner).toMatchObject({ elevation: 100.2 });
  });

  it('on a side between faces of one plane has one grade', () => {
    expect(
      surfaceAt(
        square((e) => 50 + 0.02 * e),
        5,
        5,
      ),
    ).toMatchObject({ gradients: [[expect.closeTo(0.02, 12), expect.closeTo(0, 12)]] });
  });

  it('outside the surface, where faces have no area, and on faces over one another has none', () => {
    expect(detail(surfaceAt(bent, 11, 5))).toBe('the place lies outside the surface');
    const flat = design(
      [
        [0, 0, 1],
        [5, 0, 1],
        [10, 0, 1],
      ],
      [[0, 1, 2]],
    );
    expect(detail(surfaceAt(flat, 5, 0))).toBe('the place lies outside the surface');
    expect(planArea(flat)).toBe(0);
    const two = design(
      [
        [0, 0, 1],
        [9, 0, 1],
        [0, 9, 1],
        [0, 0, 2],
        [9, 0, 2],
        [0, 9, 2],
      ],
      [
        [0, 1, 2],
        [3, 4, 5],
      ],
    );
    expect(detail(surfaceAt(two, 1, 1))).toBe('faces lie over one another here, 1.000 m apart');
    expect(detail(finishedFromDesign(two, at(1, 1)))).toContain('over one another');
  });
});

describe('finished grade from a design surface', () => {
  it('within one plane is that plane, exactly', () => {
    const g = grade(
      finishedFromDesign(
        square((e, n) => 50 + 0.02 * e - 0.01 * n),
        at(4, 5),
      ),
    );
    expect(g).toMatchObject({
      method: 'design',
      misfit: 0,
      sigma: 0,
      sigmaRim: 0,
      surface: 'finished',
      breakLine: null,
    });
    expect(g.elevation).toBeCloseTo(50.03, 12);
    expect(g.gradient[0]).toBeCloseTo(0.02, 12);
    expect(g.gradient[1]).toBeCloseTo(-0.01, 12);
  });

  it('on a break line is the plane of least greatest misfit, named with its line (case A11)', () => {
    const g = grade(finishedFromDesign(bent, at(5, 5)));
    expect(g.method).toBe('compromise');
    expect(g.breakLine).toMatchObject({ kind: 'found', distance: expect.closeTo(0, 9) });
    // Two planes that meet under the middle of a rim of radius r and differ by the gradient d: the best plane leaves
    // each side and the line by d r / 4 (Chebyshev), half the height of the ridge over the chord.
    const quarter = (Math.hypot(0.02, 0.02) * 0.33) / 4;
    expect(g.misfit).toBeCloseTo(quarter, 9);
    expect(g.elevation).toBeCloseTo(100.3 + quarter, 9);
    expect(g.gradient[0]).toBeCloseTo(0.03, 5);
    expect(g.gradient[1]).toBeCloseTo(0.05, 5);
  });

  it('comes to the elevation of the surface itself as the rim shrinks', () => {
    const g = grade(finishedFromDesign(bent, at(5, 5, 1e-4)));
    expect(g.elevation).toBeCloseTo(100.3, 5);
    expect(g.method).toBe('design');
  });

  it('with a line under the rim but beside the centre says how far away and where it is', () => {
    const { breakLine, method } = grade(finishedFromDesign(bent, at(4.9, 4.9)));
    expect(method).toBe('compromise');
    expect(breakLine?.distance).toBeCloseTo(Math.hypot(0.1, 0.1), 9);
    expect(breakLine?.azimuth).toBeCloseTo(Math.PI / 4, 9);
    const far = grade(finishedFromDesign(bent, at(4.5, 4.5)));
    expect(far).toMatchObject({ method: 'design', misfit: 0, breakLine: null });
  });

  it('a slight bend is design, and its line is named', () => {
    const slight = square((e, n) => (e + n > 10 ? 0.003 * (e + n - 10) : 0));
    const across = design(
      [
        [0, 0, 0],
        [10, 0, 0],
        [0, 10, 0],
        [10, 10, 0.03],
      ],
      [
        [0, 1, 2],
        [1, 3, 2],
      ],
    );
    expect(grade(finishedFromDesign(across, at(5, 5))).method).toBe('design');
    expect(grade(finishedFromDesign(across, at(5, 5))).breakLine).not.toBeNull();
    expect(grade(finishedFromDesign(slight, at(7, 2))).misfit).toBe(0);
  });

  it('a peak of several faces under the rim is looked at in full', () => {
    const ring = Array.from({ length: 8 }, (_, i) => [
      0.2 * Math.cos((i * Math.PI) / 4),
      0.2 * Math.sin((i * Math.PI) / 4),
      0,
    ]);
    const outer = ring.map(([e, n]) => [50 * e, 50 * n, -0.5]);
    const faces = ring.flatMap((_, i) => {
      const j = (i + 1) % 8;
      return [
        [0, 1 + i, 1 + j],
        [1 + i, 9 + i, 9 + j],
        [1 + i, 9 + j, 1 + j],
      ];
    });
    const g = grade(finishedFromDesign(design([[0, 0, 0.02], ...ring, ...outer], faces), at(0, 0)));
    expect(g.method).toBe('compromise');
    // From the peak at 0.02 to the rim's lowest place, on the middle of a face: half of it on either side.
    const slope = 0.5 / (9.8 * Math.cos(Math.PI / 8));
    const lowest = -(0.33 - 0.2 * Math.cos(Math.PI / 8)) * slope;
    expect(g.misfit).toBeGreaterThan(0.0099);
    expect(g.misfit).toBeLessThan((0.02 - lowest) / 2 + 1e-3);
    expect(g.breakLine?.distance).toBe(0);
  });

  it('neighbours with points of their own at one place share their side', () => {
    const twice = design(
      [
        [0, 0, 100],
        [10, 0, 100.2],
        [0, 10, 100.4],
        [10, 0, 100.2],
        [10, 10, 100.8],
        [0, 10, 100.4],
      ],
      [
        [0, 1, 2],
        [3, 4, 5],
      ],
    );
    expect(grade(finishedFromDesign(twice, at(5, 5))).breakLine).toMatchObject({ kind: 'found' });
  });

  it('a rim without width has a grade on a face and none on a break line', () => {
    expect(grade(finishedFromDesign(bent, at(2, 2, 0))).elevation).toBeCloseTo(100.12, 12);
    expect(detail(finishedFromDesign(bent, at(5, 5, 0)))).toContain('without width');
  });

  it('has none where the place or the rim leaves the surface', () => {
    expect(detail(finishedFromDesign(bent, at(-1, 5)))).toBe('the place lies outside the surface');
    expect(detail(finishedFromDesign(bent, at(0.2, 5)))).toBe('the rim reaches past the edge of the surface');
  });

  it('has none where faces come to lie over one another under the rim', () => {
    const lid = design(
      [
        [0, 0, 1],
        [10, 0, 1],
        [10, 10, 1],
        [0, 10, 1],
        [5.2, 5, 1.1],
        [6, 4, 1.1],
        [6, 6, 1.1],
      ],
      [
        [0, 1, 2],
        [0, 2, 3],
        [4, 5, 6],
      ],
    );
    expect(detail(finishedFromDesign(lid, at(5, 5)))).toBe('faces lie over one another here, 0.100 m apart');
  });

  it('has none on walls, slivers and faces that bridge a gap, each with its limit', () => {
    expect(
      detail(
        finishedFromDesign(
          square((e) => 0.3 * e),
          at(5, 5),
        ),
      ),
    ).toBe('a face that falls 30.0 % (limit 25.0 %)');
    expect(
      detail(
        finishedFromDesign(
          square(() => 0, 300),
          at(150, 140),
        ),
      ),
    ).toBe('a face with a side of 424.3 m bridges a gap (limit 200 m)');
    const thin = design(
      [
        [0, 0, 0],
        [20, 0, 0],
        [10, 0.05, 0],
        [10, 9, 0],
        [10, -9, 0],
      ],
      [
        [0, 1, 2],
        [0, 2, 3],
        [2, 1, 3],
        [0, 4, 1],
      ],
    );
    expect(detail(finishedFromDesign(thin, at(10, 0.3)))).toBe(
      'a sliver of a face, 0.050 m high on 20.0 m, too thin to trust its slope',
    );
    const limits = { ...defaultDesignLimits, sliverHeight: 0.01 };
    expect(grade(finishedFromDesign(thin, at(10, 0.3), limits)).elevation).toBe(0);
  });

  it('a wall beside the pavement is refused only where the rim reaches it', () => {
    const curb = design(
      [
        [0, 0, 0],
        [10, 0, 0],
        [10, 5, 0],
        [0, 5, 0],
        [10, 5.2, 0.15],
        [0, 5.2, 0.15],
      ],
      [
        [0, 1, 2],
        [0, 2, 3],
        [3, 2, 4],
        [3, 4, 5],
      ],
    );
    expect(grade(finishedFromDesign(curb, at(5, 4))).elevation).toBe(0);
    expect(detail(finishedFromDesign(curb, at(5, 4.7)))).toContain('limit 25.0 %');
  });

  it('a near-collinear face of 2 km is answered once its limit allows it (case A12)', () => {
    const far = design(
      [
        [0, 0, 1],
        [1000, 0, 1],
        [2000, 40, 2],
      ],
      [[0, 1, 2]],
    );
    expect(planArea(far)).toBeCloseTo(20000, 6);
    expect(detail(finishedFromDesign(far, at(1000, 10)))).toContain('2000.4 m bridges a gap (limit 200 m)');
    const open = grade(finishedFromDesign(far, at(1000, 10), { ...defaultDesignLimits, longestSide: 3000 }));
    expect(open.elevation).toBeCloseTo(1 + 10 / 40, 9);
  });
});

describe('looking up faces', () => {
  it('is the same as looking at every face, whatever their sizes', () => {
    const random = fc.double({ min: -300, max: 300, noNaN: true });
    const point = fc.tuple(random, random, fc.constant(0)).map((p) => [...p]);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(point, point, point), { minLength: 1, maxLength: 30 }),
        random,
        random,
        (all, e, n) => {
          // One face far larger than the rest, so that some are looked at always.
          const large = [
            [-5000, -5000, 0],
            [5000, -5000, 0],
            [0, 9000, 0],
          ];
          const points = [...all.flatMap((t) => t.map(([x, y, z]) => [x / 10, y / 10, z])), ...large];
          const surface = design(
            points,
            Array.from({ length: all.length + 1 }, (_, f) => [3 * f, 3 * f + 1, 3 * f + 2]),
          );
          const hits = facesAt(surface, e / 10, n / 10).map((h) => h.face);
          expect(hits).toContain(all.length);
          const inside = (f: number) => {
            const plane = planeOf(surface, f);
            if (!plane) return false;
            return [0, 1, 2].every((k) => {
              const m = (k + 1) % 3;
              const cross =
                (plane.e[m] - plane.e[k]) * (n / 10 - plane.n[k]) -
                (plane.n[m] - plane.n[k]) * (e / 10 - plane.e[k]);
              return cross * Math.sign(plane.area) > 0;
            });
          };
          for (let f = 0; f <= all.length; f++) if (inside(f)) expect(hits).toContain(f);
        },
      ),
      { numRuns: 200 },
    );
  });

  it('an empty surface holds nothing', () => {
    expect(facesAt(design([], []), 0, 0)).toEqual([]);
  });

  it('the same surface a million metres away gives the same grade', () => {
    const shift = design(
      [
        [1e6, 2e6, 100],
        [1e6 + 10, 2e6, 100.2],
        [1e6, 2e6 + 10, 100.4],
        [1e6 + 10, 2e6 + 10, 100.8],
      ],
      [
        [0, 1, 2],
        [1, 3, 2],
      ],
    );
    const far = grade(finishedFromDesign(shift, at(1e6 + 4.9, 2e6 + 4.9)));
    const near = grade(finishedFromDesign(bent, at(4.9, 4.9)));
    expect(far.elevation).toBeCloseTo(near.elevation, 7);
    expect(far.gradient[0]).toBeCloseTo(near.gradient[0], 6);
  });
});
