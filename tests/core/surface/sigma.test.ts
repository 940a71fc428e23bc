import { describe, expect, test } from 'vitest';
import { defaultPolicy } from '#core/plan/policy.ts';
import type { Place } from '#core/surface/nearShots.ts';
import { estimateSigma } from '#core/surface/sigma.ts';
import { assumedShotSigma, layOutSurvey } from '#core/surface/survey.ts';
import type { Shot } from '#core/surface/types.ts';
import { crowned, named, placeAt, plane, ringOfShots, shot, withNoise } from '../../helpers/site.ts';

const estimate = (shots: Shot[], places: Place[], shotSigma: number | null = null) =>
  estimateSigma(layOutSurvey(named(shots), 's', shotSigma), places, { ...defaultPolicy, shotSigma });

/** A street of covers every 12 m, each with its shots. */
function street(sigma: number, covers: number, surface = plane(0.01, 0.02), seed = 17) {
  const places = Array.from({ length: covers }, (_, i) => placeAt(0, 12 * i));
  const shots = places.flatMap((p, i) =>
    ringOfShots(surface, { count: 9, radius: 1.5 + (i % 3) / 4, turn: i, centre: [p.east, p.north] }),
  );
  return { places, shots: withNoise(shots, sigma, seed) };
}

describe('the sigma of a shot, over the whole survey', () => {
  test.each([0.002, 0.005, 0.02])('comes out within a sixth of %f m', (sigma) => {
    const { places, shots } = street(sigma, 60);
    const survey = estimate(shots, places);
    expect(survey.sigmaFrom).toBe('estimated');
    expect(Math.abs(survey.shotSigma / sigma - 1)).toBeLessThan(1 / 6);
  });

  test('is not moved by one shot in twenty off by 0.2 m, nor by a crown', () => {
    const { places, shots } = street(0.002, 60, crowned(1.3));
    const busted = shots.map((s, i) => (i % 20 === 0 ? { ...s, elevation: s.elevation + 0.2 } : s));
    expect(Math.abs(estimate(busted, places).shotSigma / 0.002 - 1)).toBeLessThan(0.35);
  });

  test('is looked for in an even sample of many covers', () => {
    const { places, shots } = street(0.002, 300);
    expect(Math.abs(estimate(shots, places).shotSigma / 0.002 - 1)).toBeLessThan(1 / 6);
  });

  test('comes from the shots’ own neighbourhoods where covers are too few, and no smaller', {
    timeout: 30_000,
  }, () => {
    const surface = plane(0.01, 0.02);
    const grid = [-4, -2, 0, 2, 4].flatMap((e) => [-4, -2, 0, 2, 4].map((n) => shot(e, n, surface(e, n))));
    const found = Array.from({ length: 6 }, (_, seed) => {
      const shots = withNoise([...ringOfShots(surface, { count: 9 }), ...grid], 0.004, seed + 1);
      const survey = estimate(shots, [placeAt()]);
      expect(survey.sigmaFrom).toBe('estimated');
      return survey.shotSigma;
    });
    // 34 shots count for 17 spare ones, whose upper end lies 1.3 times as high as what they show.
    for (const sigma of found) {
      expect(sigma / 0.004).toBeGreaterThan(0.8);
      expect(sigma / 0.004).toBeLessThan(1.6);
    }
    const mean = found.reduce((s, x) => s + x / 6, 0) / 0.004;
    expect(mean).toBeGreaterThan(1.1);
    expect(mean).toBeLessThan(1.5);
  });

  test('leaves alone what was given or recorded, and what is too little to show it', () => {
    const { places, shots } = street(0.004, 10);
    expect(estimate(shots, places, 0.003)).toMatchObject({ sigmaFrom: 'given', shotSigma: 0.003 });
    const recorded = shots.map((s) => ({ ...s, sigma: 0.001 }));
    expect(estimate(recorded, places).sigmaFrom).toBe('recorded');
    const few = ringOfShots(plane(0, 0), { count: 7 });
    expect(estimate(few, [placeAt()])).toMatchObject({ sigmaFrom: 'assumed', shotSigma: assumedShotSigma });
    expect(estimate(few.slice(0, 5), [placeAt()]).sigmaFrom).toBe('assumed');
  });

  test.each([2, 3, 6])('from %i covers alone is hardly ever found too small to cut from', (covers) => {
    let least = Infinity;
    for (let seed = 1; seed <= 20; seed++) {
      const { places, shots } = street(0.02, covers, plane(0.01, 0.02), seed);
      least = Math.min(least, estimate(shots, places).shotSigma / 0.02);
    }
    // Ten shots let a tolerance of 6 mm be held from 8 mm on.
    expect(least).toBeGreaterThan(0.42);
  });

  /** Five shots right across the road, a crown in the middle, every so many metres. */
  const sections = (every: number, coded: boolean) =>
    Array.from({ length: Math.ceil(180 / every) }, (_, i) => i * every).flatMap((n) =>
      [-5.4, -2.7, 0, 2.7, 5.4].map((e) =>
        shot(e, n, crowned(0)(e, n), { role: coded && e === 0 ? 'crown' : 'surface' }),
      ),
    );

  test.each([5, 9, 10])('shows itself in cross sections every %i m, where few shots are near', (every) => {
    const places = Array.from({ length: 20 }, (_, i) => placeAt(1.8, 3 + 8 * i));
    for (const seed of [1, 2, 3]) {
      const survey = estimate(withNoise(sections(every, true), 0.002, seed), places);
      expect(survey.sigmaFrom).toBe('estimated');
      expect(survey.shotSigma / 0.002).toBeGreaterThan(0.8);
      expect(survey.shotSigma / 0.002).toBeLessThan(1.5);
    }
  });

  test('of few spare shots counts only where it is larger than what is assumed', () => {
    const ring = ringOfShots(plane(0.01, 0.02), { count: 8 });
    expect(estimate(withNoise(ring, 0.0005, 4), [placeAt()]).sigmaFrom).toBe('assumed');
    const rough = estimate(withNoise(ring, 0.03, 4), [placeAt()]);
    expect(rough.sigmaFrom).toBe('estimated');
    expect(rough.shotSigma).toBeGreaterThan(0.02);
  });

  test('takes bounded work for a survey of fifty thousand shots and thousands of covers', () => {
    const surface = plane(0.01, 0.02);
    const grid = Array.from({ length: 50_000 }, (_, i) => {
      const [e, n] = [2 * (i % 250), 2 * Math.floor(i / 250)];
      return shot(e, n, surface(e, n));
    });
    const shots = withNoise(grid, 0.004, 5);
    const places = Array.from({ length: 4000 }, (_, i) =>
      placeAt(5 + 7 * (i % 60), 5 + 5 * Math.floor(i / 60)),
    );
    const survey = layOutSurvey(named(shots), 's', null);
    let looked = 0;
    const { within } = survey.grid;
    survey.grid.within = (...asked) => {
      looked++;
      return within.apply(survey.grid, asked);
    };
    const first = estimateSigma(survey, places, defaultPolicy);
    expect(looked).toBeLessThan(2000);
    expect(Math.abs(first.shotSigma / 0.004 - 1)).toBeLessThan(1 / 6);
    expect(estimateSigma(survey, places, defaultPolicy).shotSigma).toBe(first.shotSigma);
  });

  test('fills in for the shots that recorded none', () => {
    const { places, shots } = street(0.004, 30);
    const mixed = shots.map((s, i) => (i % 2 === 0 ? { ...s, sigma: 0.0011 } : s));
    const survey = estimate(mixed, places);
    expect(survey.sigma[0]).toBe(0.0011);
    expect(survey.sigma[1]).toBe(survey.shotSigma);
  });

  test('passes over covers whose shots lie on one line', () => {
    const line = Array.from({ length: 40 }, (_, i) => shot(0, i / 2, 100));
    const survey = estimate(
      line,
      [2, 6, 10, 14].map((n) => placeAt(0, n)),
    );
    expect(survey.sigmaFrom).toBe('assumed');
  });

  test('keeps the first estimate where no cover gets a plane to refine it by', () => {
    const { places, shots } = street(0.004, 8);
    // Covers stand where their shots do not surround them.
    const aside = places.map((p) => ({ ...p, east: 3.2 }));
    const survey = estimate(shots, aside);
    expect(survey.sigmaFrom).toBe('estimated');
    expect(survey.shotSigma).toBeGreaterThan(0.001);
  });
});
