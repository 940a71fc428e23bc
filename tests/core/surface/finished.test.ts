import { describe, expect, test } from 'vitest';
import { assumedShotSigma } from '#core/surface/survey.ts';
import type { Shot } from '#core/surface/types.ts';
import {
  crowned,
  finish,
  finishedAt,
  placeAt,
  plane,
  ringOfShots,
  shot,
  withNoise,
} from '../../helpers/site.ts';

const surface = plane(0.02, -0.01);

describe('finished grade from shots', () => {
  test('is the plane through them, at the centre of the cover', () => {
    const grade = finishedAt(ringOfShots(surface, { centre: [3, 4] }), { place: placeAt(3, 4) });
    expect(grade.elevation).toBeCloseTo(surface(3, 4), 9);
    expect(grade.gradient[0]).toBeCloseTo(0.02, 9);
    expect(grade.gradient[1]).toBeCloseTo(-0.01, 9);
    expect(grade).toMatchObject({ method: 'plane', shotsUsed: 8, rejected: [], misfit: 0, surface: 'site' });
    expect(grade.points).toHaveLength(8);
    expect(grade.reach).toBeCloseTo(2, 9);
    expect(grade.nearest).toBeCloseTo(2, 9);
  });

  // Even shots at radius R: sigma0 = s / sqrt(n), sigma of a slope = s sqrt(2) / (R sqrt(n)); s 20, 5 and 2 mm.
  // The fit carries a small unknown bend of the street besides: at 3 m it adds 1 to 2 mm to the level, which is
  // honest for a vertical curve, and nothing to the slopes. So sigmas may be larger than the formula, never smaller.
  test.each([0.02, 0.005, 0.002])(
    'four shots of %f m at 3 m leave the sigma that the formula says, and the bend',
    (s) => {
      const grade = finishedAt(ringOfShots(surface, { count: 4, radius: 3 }), { policy: { shotSigma: s } });
      const centre = s / 2;
      const rim = Math.hypot(centre, (0.33 * s * Math.SQRT2) / (3 * 2));
      const bend = 2e-4 * 9;
      expect(grade.sigma).toBeGreaterThanOrEqual(centre * 0.999);
      expect(grade.sigma).toBeLessThan(Math.hypot(centre, bend));
      expect(grade.sigmaRim).toBeGreaterThanOrEqual(rim * 0.999);
      expect(grade.sigmaRim).toBeLessThan(Math.hypot(rim, bend));
    },
  );

  test('of a cloud of shots the forty nearest make the plane', () => {
    const cloud = [1, 2, 3, 4, 5].flatMap((radius) =>
      ringOfShots(surface, { count: 12, radius, turn: radius }),
    );
    const grade = finishedAt(cloud);
    expect(grade.shotsUsed).toBe(40);
    expect(grade.reach).toBeCloseTo(4, 9);
  });

  test('a shot with a sigma of its own counts by that', () => {
    const shots = ringOfShots(surface, { count: 8 }).map((s, i) => ({
      ...s,
      sigma: i % 2 === 0 ? 0.001 : 0.02,
    }));
    const high = shots.map((s, i) => (i % 2 === 1 ? { ...s, elevation: s.elevation + 0.01 } : s));
    const grade = finishedAt(high, { policy: { shotSigma: null } });
    expect(grade.elevation - surface(0, 0)).toBeLessThan(0.001);
    expect(grade.sigma).toBeLessThan(0.001);
  });

  test('a sigma given for all overrides what the shots recorded, and 0 makes their weights equal', () => {
    const shots = ringOfShots(surface, { count: 4 }).map((s, i) => ({
      ...s,
      sigma: i % 2 === 0 ? 0.001 : 0.02,
    }));
    const high = shots.map((s, i) => (i % 2 === 1 ? { ...s, elevation: s.elevation + 0.002 } : s));
    for (const shotSigma of [0.005, 0]) {
      const grade = finishedAt(high, { policy: { shotSigma } });
      expect(grade.elevation - surface(0, 0)).toBeCloseTo(0.001, 4);
    }
  });

  test('with a shot sigma of 0 no sigma is reported', () => {
    const grade = finishedAt(withNoise(ringOfShots(surface), 0.02, 3), { policy: { shotSigma: 0 } });
    expect(grade).toMatchObject({ sigma: 0, sigmaRim: 0 });
  });

  test('a level site without any noise is surveyed as well as any other', () => {
    const shots = [1, 2, 3].flatMap((radius) => ringOfShots(() => 100, { count: 6, radius, turn: radius }));
    const grade = finishedAt(shots, { policy: { shotSigma: null } });
    expect(grade.elevation).toBeCloseTo(100, 9);
    expect(grade.sigma).toBeGreaterThan(0);
  });
});

describe('shots that give no finished grade', () => {
  test('none within 6 m', () => {
    expect(finish(ringOfShots(surface, { radius: 6.5 }))).toEqual({
      reason: 'noShots',
      nearest: expect.closeTo(6.5, 9),
      limit: 6,
    });
    expect(finish([])).toEqual({ reason: 'noShots', nearest: null, limit: 6 });
    expect(finish(ringOfShots(surface, { role: 'rim' }))).toMatchObject({ reason: 'noShots' });
  });

  test('three are too few, and the same three taken twice are still three', () => {
    const three = ringOfShots(surface, { count: 3 });
    expect(finish(three)).toEqual({ reason: 'tooFewShots', count: 3, limit: 4 });
    const again = three.map((s) => ({ ...s, east: s.east + 0.005 }));
    expect(finish([...three, ...again])).toEqual({ reason: 'tooFewShots', count: 3, limit: 4 });
  });

  test('all on one line', () => {
    const line = [-3, -2, -1, 1, 2, 3].map((d) => shot(d, 0.5 * d, surface(d, 0.5 * d)));
    expect(finish(line)).toMatchObject({ reason: 'collinear' });
  });

  test('all on one side, farther than the rim reaches', () => {
    const shots = ringOfShots(surface, { centre: [2.5, 0], radius: 2 });
    const answer = finish(shots);
    expect(answer).toMatchObject({ reason: 'outsideHull', limit: 0.33 });
    expect(answer).toHaveProperty('distance', expect.closeTo(0.65, 0.05));
    // As far outside as the rim reaches is near enough.
    expect(finishedAt(ringOfShots(surface, { centre: [2.2, 0], radius: 2 })).method).toBe('plane');
  });

  test('near ones on one side are completed by farther ones on the other', () => {
    const near = ringOfShots(surface, { centre: [2.5, 0], radius: 2 });
    const far = [shot(-8, 2, surface(-8, 2)), shot(-8, -2, surface(-8, -2))];
    const grade = finishedAt([...near, ...far]);
    expect(grade.reach).toBeGreaterThan(8);
    expect(grade.elevation).toBeCloseTo(100, 3);
  });
});

describe('blunders', () => {
  const bust = (shots: Shot[], index: number, by: number) =>
    shots.map((s, i) => (i === index ? { ...s, elevation: s.elevation + by, point: 'BUST' } : s));

  test.each([0.1, -0.3, 0.03])('one off by %f m is named with that residual and moves nothing', (by) => {
    const clean = withNoise(ringOfShots(surface, { count: 8 }), 0.002, 5);
    const grade = finishedAt(bust(clean, 3, by));
    expect(grade.rejected.map((r) => r.point)).toEqual(['BUST']);
    expect(grade.rejected[0].residual).toBeCloseTo(by, 1);
    expect(grade.shotsUsed).toBe(7);
    expect(grade.points).not.toContain('BUST');
    const without = finishedAt(clean.filter((_, i) => i !== 3));
    expect(grade.elevation).toBeCloseTo(without.elevation, 4);
  });

  test('two the same way among ten are both named', () => {
    const clean = withNoise(ringOfShots(surface, { count: 10 }), 0.002, 8);
    const grade = finishedAt(bust(bust(clean, 1, 0.2), 6, 0.15));
    expect(grade.rejected).toHaveLength(2);
    expect(grade.elevation).toBeCloseTo(100, 2);
  });

  test('shots so scattered that any reading of them is as good as another leave a wide sigma', () => {
    const wild = withNoise(ringOfShots(surface, { count: 6 }), 0.15, 2);
    const grade = finish(wild, { policy: { shotSigma: 0.002 } });
    if ('elevation' in grade) expect(grade.sigmaRim).toBeGreaterThan(0.01);
  });
});

describe('crown and gutter lines', () => {
  const crownShots = (at: number) =>
    [-20, -10, 0, 10, 20].map((n) => shot(at, n, crowned(at)(at, n), { role: 'crown', code: 'CL' }));
  const bothSides = (at: number) => [
    ...ringOfShots(crowned(at), { count: 10, radius: 1.8 }),
    ...[-4, -2, 2, 4].flatMap((e) => [-6, 0, 6].map((n) => shot(e, n, crowned(at)(e, n)))),
  ];

  test('beside a coded crown the plane is that of its own side', () => {
    const grade = finishedAt([...crownShots(1), ...bothSides(1)]);
    expect(grade.method).toBe('ownSide');
    expect(grade.gradient[0]).toBeCloseTo(0.02, 6);
    expect(grade.elevation).toBeCloseTo(crowned(1)(0, 0), 6);
    expect(grade.breakLine).toMatchObject({ kind: 'crown', distance: expect.closeTo(1, 9) });
    expect(grade.breakLine!.azimuth).toBeCloseTo(Math.PI / 2, 9);
    expect(grade.rejected).toEqual([]);
  });

  test('so it is beside a coded gutter, where the pavement turns up', () => {
    const gutter = (e: number, n: number) => 100 - 0.02 * e + 0.08 * Math.max(0, e - 1) + 0.005 * n;
    const line = [-10, 0, 10].map((n) => shot(1, n, gutter(1, n), { role: 'gutter', code: 'GU' }));
    const around = ringOfShots(gutter, { count: 12, radius: 1.9 });
    const grade = finishedAt([...line, ...around]);
    expect(grade.breakLine!.kind).toBe('gutter');
    expect(grade.gradient[0]).toBeCloseTo(-0.02, 6);
  });

  test('an uncoded crown is found in the shots', () => {
    const shots = withNoise(bothSides(1), 0.002, 11);
    const grade = finishedAt(shots);
    expect(grade.method).toBe('foundSide');
    expect(grade.breakLine!.kind).toBe('crown');
    expect(Math.abs(grade.breakLine!.distance - 1)).toBeLessThan(0.4);
    expect(Math.abs(grade.gradient[0] - 0.02)).toBeLessThan(0.004);
    expect(grade.rejected).toEqual([]);
  });

  test('it is found too where the road’s direction is not known', () => {
    const shots = withNoise(bothSides(1), 0.002, 12);
    const grade = finishedAt(shots, { place: placeAt(0, 0, { roadBearing: null }) });
    expect(Math.abs(grade.elevation - crowned(1)(0, 0))).toBeLessThan(0.004);
  });

  test('150 mm from the centre it gives the best plane over both sides: 0.91 % toward it, 2.6 mm at worst', () => {
    const grade = finishedAt([...crownShots(0.15), ...bothSides(0.15)]);
    expect(grade.method).toBe('compromise');
    expect(grade.gradient[0]).toBeCloseTo(0.0091, 4);
    expect(grade.gradient[1]).toBeCloseTo(0.01, 4);
    expect(grade.misfit).toBeCloseTo(0.0026, 4);
    const worst = Array.from({ length: 721 }, (_, i) => {
      const e = -0.33 + (0.66 * i) / 720;
      return Math.abs(grade.elevation + grade.gradient[0] * e - crowned(0.15)(e, 0));
    });
    expect(Math.max(...worst)).toBeCloseTo(0.0026, 4);
  });

  test('an uncoded one under the rim is a compromise as well', () => {
    const grade = finishedAt(withNoise(bothSides(0.15), 0.001, 4), { policy: { shotSigma: 0.001 } });
    expect(grade.method).toBe('compromise');
    expect(grade.misfit).toBeGreaterThan(0.001);
  });

  test('one under the rim with shots on one side only says so by the line’s distance', () => {
    const oneSide = ringOfShots(crowned(0.2), { count: 12, radius: 2 }).filter((s) => s.east < 0.2);
    const grade = finishedAt([...crownShots(0.2), ...oneSide]);
    expect(grade.breakLine!.distance).toBeLessThan(0.33);
  });

  test('across a superelevated road there is none: both sides are one plane', () => {
    const tilted = plane(0.04, 0.01);
    const shots = withNoise(ringOfShots(tilted, { count: 12, radius: 2 }), 0.002, 6);
    const grade = finishedAt(shots);
    expect(grade.method).toBe('plane');
    expect(grade.breakLine).toBeNull();
  });

  test('one under the rim whose far side has no shot at all says so too', () => {
    const ends = [-15, 15].map((n) => shot(0.2, n, crowned(0.2)(0.2, n), { role: 'crown' }));
    const near = [-2, 2].map((n) => shot(0.1, n, crowned(0.2)(0.1, n)));
    const ring = ringOfShots(crowned(0.2), { count: 12, radius: 2 }).filter((s) => s.east < 0.1);
    const oneSide = [...near, ...ring];
    const grade = finishedAt([...ends, ...oneSide]);
    expect(grade.method).toBe('ownSide');
    expect(grade.breakLine!.distance).toBeLessThan(0.33);
  });

  test('a coded centre line under the rim of a superelevated road is no crown', () => {
    const tilted = plane(0.04, 0.01);
    const line = [-20, -10, 0, 10, 20].map((n) =>
      shot(0.1, n, tilted(0.1, n), { role: 'crown', code: 'CL' }),
    );
    const grade = finishedAt(withNoise([...line, ...ringOfShots(tilted, { count: 12 })], 0.001, 6));
    expect(grade).toMatchObject({ method: 'plane', breakLine: null, misfit: 0 });
    expect(Math.abs(grade.gradient[0] - 0.04)).toBeLessThan(0.002);
  });

  test('a line far from every shot used is no part of the answer’s method, whether shots are left out or not', () => {
    const line = [-20, -10, 0, 10, 20].map((n) => shot(14, n, 99, { role: 'crown' }));
    const shots = withNoise(ringOfShots(surface), 0.002, 5);
    expect(finishedAt([...line, ...shots]).method).toBe('plane');
    const bust = shots.map((s, i) => (i === 2 ? { ...s, elevation: s.elevation + 0.2 } : s));
    expect(finishedAt([...line, ...bust]).method).toBe('plane');
  });
});

describe('a survey too small to show its own spread', () => {
  test('keeps the assumed sigma', () => {
    const grade = finishedAt(ringOfShots(surface, { count: 5 }), { policy: { shotSigma: null } });
    const given = finishedAt(ringOfShots(surface, { count: 5 }), { policy: { shotSigma: assumedShotSigma } });
    expect(grade.sigma).toBeCloseTo(given.sigma, 12);
  });
});

describe('a rim at the edge of the shots', () => {
  const half = ringOfShots(surface, { count: 14, radius: 2 }).filter((s) => s.east < 0);
  const place = placeAt(-0.2, 0);

  test('stands out past them by what they leave of it uncovered', () => {
    const edge = Math.max(...half.map((s) => s.east));
    const grade = finishedAt(half, { place });
    // The hull's edge runs from one outermost shot, 0.40 m west, to the other, 0.49 m west.
    expect(edge).toBeCloseTo(-0.4, 2);
    expect(grade.overhang).toBeGreaterThan(0.33 - 0.2 + 0.4);
    expect(grade.overhang).toBeLessThan(0.33 - 0.2 + 0.49);
    expect(finishedAt(ringOfShots(surface)).overhang).toBe(0);
  });

  test('is asked of farther shots, and theirs is the plane where they surround it', () => {
    const far = [-5, 5].map((n) => shot(6.5, n, surface(6.5, n)));
    const grade = finishedAt([...half, ...far], { place });
    expect(grade).toMatchObject({ overhang: 0, method: 'plane' });
    expect(grade.reach).toBeGreaterThan(6);
    // Those on the same side do not better it, and the near ones stay.
    const behind = [-5, 5].map((n) => shot(-6.5, n, surface(-6.5, n)));
    const still = finishedAt([...half, ...behind], { place });
    expect(still.overhang).toBeGreaterThan(0.165);
    expect(still.reach).toBeLessThan(3);
    // Those that show a bend between leave the rim over it.
    const raised = far.map((s) => ({ ...s, elevation: s.elevation + 0.5 }));
    expect(finishedAt([...half, ...raised], { place }).method).toBe('compromise');
  });

  test('beside a coded line is bounded by it', () => {
    const line = [-20, -10, 0, 10, 20].map((n) => shot(0.6, n, crowned(0.6)(0.6, n), { role: 'crown' }));
    const ring = ringOfShots(crowned(0.6), { count: 16 }).filter((s) => s.east < 0.1);
    expect(finishedAt([...line, ...ring])).toMatchObject({ method: 'ownSide', overhang: 0 });
  });

  test('has the line that the shots show on its own side of it, however alike both sides are', () => {
    const crown = crowned(-0.6);
    const rows = [-4.6, -3.6, -2.6, -1.6, 0.5, 1.5, 3, 4.5].flatMap((e) =>
      [-3.5, -1.3, 1.4, 3.2].map((n) => shot(e, n, crown(e, n))),
    );
    const grade = finishedAt(withNoise(rows, 0.0005, 5), { policy: { shotSigma: 0.0005 } });
    expect(grade.method).toBe('foundSide');
    expect(grade.breakLine!.distance).toBeCloseTo(0.6, 1);
    expect(Math.sin(grade.breakLine!.azimuth)).toBeCloseTo(-1, 6);
    expect(grade.gradient[0]).toBeCloseTo(-0.02, 2);
  });

  test('before a line that the shots show is surrounded with those past it, where the bearing of the road is known', () => {
    // Rows of shots up to 0.5 m short of the cover, and past a crown that runs 0.6 m beyond it.
    const crown = crowned(0.6, 0.03);
    const rows = [-4.5, -3, -1.5, -0.5, 1.6, 2.6, 3.6, 4.6].flatMap((e) =>
      [-3.5, -1.3, 1.4, 3.2].map((n) => shot(e, n, crown(e, n))),
    );
    const shots = withNoise(rows, 0.0005, 3);
    const policy = { shotSigma: 0.0005 };
    const grade = finishedAt(shots, { policy });
    expect(grade).toMatchObject({ method: 'foundSide', overhang: 0, breakLine: { kind: 'crown' } });
    expect(Math.abs(grade.elevation - crown(0, 0))).toBeLessThan(3 * grade.sigma);
    const blind = finish(shots, { place: placeAt(0, 0, { roadBearing: null }), policy });
    expect(blind).not.toMatchObject({ method: 'foundSide', overhang: 0 });
  });
});
