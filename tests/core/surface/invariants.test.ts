import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isGrade } from '#core/surface/finished.ts';
import type { FinishedGrade, Shot } from '#core/surface/types.ts';
import { crowned, finish, named, placeAt, plane, ringOfShots, shot, withNoise } from '../../helpers/site.ts';

const spread = (least: number, most: number) =>
  fc.integer({ min: 0, max: 100_000 }).map((k) => least + ((most - least) * k) / 100_000);

/** Sites of every kind: plane or crowned, coded or not, with or without a blunder. */
const anySite = fc
  .record({
    kind: fc.constantFrom('plane', 'coded', 'uncoded'),
    a: spread(-0.05, 0.05),
    b: spread(-0.05, 0.05),
    at: spread(-2.5, 2.5),
    bust: fc.boolean(),
    seed: fc.integer({ min: 1, max: 1e6 }),
  })
  .map(({ kind, a, b, at, bust, seed }): Shot[] => {
    const tilt = plane(a, b, 0);
    const crown = crowned(at);
    const surface = (e: number, n: number) => tilt(e, n) + (kind === 'plane' ? 0 : crown(e, n));
    const near = ringOfShots(surface, { count: 9, radius: 1.9, turn: seed % 7 });
    const grid = [-4.2, -1.4, 1.6, 4.1].flatMap((e) =>
      [-5.3, 0.3, 5.8].map((n) => shot(e, n, surface(e, n))),
    );
    const line = [-20, -10, 0.1, 10, 20].map((n) => shot(at, n, surface(at, n), { role: 'crown' }));
    const shots = withNoise([...near, ...grid, ...(kind === 'coded' ? line : [])], 0.002, seed);
    if (bust) shots[seed % 9] = { ...shots[seed % 9], elevation: shots[seed % 9].elevation + 0.15 };
    return named(shots);
  });

function expectAlike(after: ReturnType<typeof finish>, before: ReturnType<typeof finish>): void {
  expect(isGrade(after)).toBe(isGrade(before));
  if (!isGrade(after) || !isGrade(before)) return;
  const names = (g: FinishedGrade) => [...g.points].sort().join();
  expect(names(after)).toBe(names(before));
  expect(after.method).toBe(before.method);
  expect(after.elevation).toBeCloseTo(before.elevation, 6);
  expect(after.sigma).toBeCloseTo(before.sigma, 7);
  expect(Math.hypot(...after.gradient)).toBeCloseTo(Math.hypot(...before.gradient), 6);
}

const moved = (shots: readonly Shot[], move: (s: Shot) => Partial<Shot>) =>
  shots.map((s) => ({ ...s, ...move(s) }));

describe('the finished grade does not depend on how the site is written down', () => {
  test('turned as a whole, it turns with it', () => {
    fc.assert(
      fc.property(anySite, spread(0, 6.28), (shots, turn) => {
        const s = Math.sin(turn);
        const c = Math.cos(turn);
        const before = finish(shots);
        const turned = moved(shots, ({ east: e, north: n }) => ({
          east: e * c + n * s,
          north: n * c - e * s,
        }));
        const after = finish(turned, { place: placeAt(0, 0, { roadBearing: turn }) });
        expectAlike(after, before);
        if (!isGrade(before) || !isGrade(after)) return;
        const [a, b] = before.gradient;
        expect(after.gradient[0]).toBeCloseTo(a * c + b * s, 6);
        expect(after.gradient[1]).toBeCloseTo(b * c - a * s, 6);
        // Round the rim the sigma is looked up every 15 degrees, within 1 % of its peak.
        expect(Math.abs(after.sigmaRim / before.sigmaRim - 1)).toBeLessThan(0.01);
      }),
      { numRuns: 60, seed: 4 },
    );
  });

  test('shifted by a thousand kilometres, it stays', () => {
    fc.assert(
      fc.property(anySite, (shots) => {
        const away = moved(shots, ({ east, north }) => ({ east: east + 1e6, north: north + 5e6 }));
        expectAlike(finish(away, { place: placeAt(1e6, 5e6) }), finish(shots));
      }),
      { numRuns: 60, seed: 5 },
    );
  });

  test('in any order of the shots it is the same to the last digit', () => {
    fc.assert(
      fc.property(anySite, fc.integer({ min: 1, max: 1e6 }), (shots, seed) => {
        const shuffled = [...shots].sort(
          (p, q) => ((p.east * 7919 * seed) % 1) - ((q.east * 7919 * seed) % 1) || p.north - q.north,
        );
        const before = finish(shots);
        const after = finish(shuffled);
        expectAlike(after, before);
        if (isGrade(before) && isGrade(after)) expect(after.elevation).toBeCloseTo(before.elevation, 11);
      }),
      { numRuns: 60, seed: 6 },
    );
  });

  test('with a plane added to every elevation, it gains just that plane', () => {
    fc.assert(
      fc.property(anySite, spread(-0.1, 0.1), spread(-0.1, 0.1), (shots, a, b) => {
        const before = finish(shots);
        const after = finish(
          moved(shots, (s) => ({ elevation: s.elevation + 40 + a * s.east + b * s.north })),
        );
        expect(isGrade(after)).toBe(isGrade(before));
        if (!isGrade(before) || !isGrade(after)) return;
        expect(after.method).toBe(before.method);
        expect(after.elevation).toBeCloseTo(before.elevation + 40, 6);
        expect(after.gradient[0]).toBeCloseTo(before.gradient[0] + a, 6);
        expect(after.gradient[1]).toBeCloseTo(before.gradient[1] + b, 6);
      }),
      { numRuns: 60, seed: 7 },
    );
  });
});

const nasty = fc.oneof(
  { weight: 6, arbitrary: spread(-7, 7) },
  fc.constantFrom(
    0,
    -0,
    1e-300,
    1e6,
    1e9,
    -1e9,
    1e17,
    1e300,
    Number.MAX_VALUE,
    Infinity,
    -Infinity,
    Number.NaN,
  ),
);
const nastyShot = fc
  .record({
    east: nasty,
    north: nasty,
    elevation: nasty,
    role: fc.constantFrom(
      'surface' as const,
      'crown' as const,
      'gutter' as const,
      'edge' as const,
      'rim' as const,
    ),
    sigma: fc.constantFrom(null, null, 0.001, 0.02, 5),
  })
  .map(({ east, north, elevation, ...more }) => shot(east, north, elevation, more));

describe('nasty shots', () => {
  test('duplicates, huge and missing numbers give an answer of numbers or a reason', {
    timeout: 60_000,
  }, () => {
    let answered = 0;
    fc.assert(
      fc.property(
        fc.array(nastyShot, { maxLength: 24, size: 'max' }),
        fc.constantFrom(null, 0.002, 0),
        fc.boolean(),
        (shots, shotSigma, twice) => {
          const answer = finish(twice ? [...shots, ...shots] : shots, { policy: { shotSigma } });
          if (!isGrade(answer)) {
            expect(Object.values(answer).every((v) => v === null || !Number.isNaN(v))).toBe(true);
            return;
          }
          answered++;
          const { elevation, gradient, sigma, sigmaRim, reach, nearest, unitVariance, misfit, rejected } =
            answer;
          for (const figure of [
            elevation,
            ...gradient,
            sigma,
            sigmaRim,
            reach,
            nearest,
            unitVariance,
            misfit,
          ])
            expect(Number.isFinite(figure)).toBe(true);
          for (const { residual } of rejected) expect(Number.isFinite(residual)).toBe(true);
          if (shotSigma !== 0) expect(sigma).toBeGreaterThan(0);
        },
      ),
      { numRuns: 150, seed: 8 },
    );
    expect(answered).toBeGreaterThan(10);
  });
});
