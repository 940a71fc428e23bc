import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { noTreatment, planCover } from '#core/plan/plan.ts';
import { defaultPolicy } from '#core/plan/policy.ts';
import { isOnLine, nearReachOf, reachOf } from '#core/plan/reach.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { lineReach, longestPiece } from '#core/surface/breakLines.ts';
import { settledOf, withSettledSigma } from '#core/surface/settledSigma.ts';
import { estimateSigma } from '#core/surface/sigma.ts';
import { layOutSurvey } from '#core/surface/survey.ts';
import type { Shot } from '#core/surface/types.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';
import { coverAt, named, noise, placeAt, shot } from '../../helpers/site.ts';

const solver = makeSolver(metricCatalogue());

/** A crowned street on a curve, its crown coded at intervals, wild coded shots beside it and shots about the cover. */
function street({
  seed,
  radius,
  every,
  strays,
}: {
  seed: number;
  radius: number;
  every: number;
  strays: number;
}) {
  const normal = noise(seed);
  const at = (s: number, o: number, more: Partial<Shot> = {}) => {
    const turn = s / radius;
    const [east, north] = [radius - (radius - o) * Math.cos(turn), (radius - o) * Math.sin(turn)];
    return shot(east, north, 100 + 0.01 * s - 0.02 * Math.abs(o) + 0.002 * normal(), more);
  };
  const shots: Shot[] = [];
  for (let s = -300; s <= 300; s += every) shots.push(at(s, 0, { role: 'crown' }));
  for (let s = -300; s <= 300; s += 9) for (const o of [-5, -2.5, 2.5, 5]) shots.push(at(s, o));
  for (let i = 0; i < strays; i++)
    shots.push(at(90 * normal(), 40 * normal(), { role: i % 2 === 0 ? 'crown' : 'gutter' }));
  for (let i = 0; i < 7; i++) shots.push(at(2 * Math.cos(i), 1.5 + 1.4 * Math.sin(i)));
  const middle = at(0, 1.5);
  return { shots: named(shots), cover: coverAt({ east: middle.east, north: middle.north }) };
}

describe('how far a plan of a cover reaches', () => {
  test('is that of the lines, five and a half of their longest pieces, or what the policy lets a plane reach', () => {
    expect(reachOf(defaultPolicy)).toBe(lineReach);
    expect(lineReach / longestPiece).toBeGreaterThan(1 + 0.2 + 1 + 1 / 3 + 1 + 2);
    expect(reachOf({ ...defaultPolicy, reachLimit: 300 })).toBe(300);
    expect(nearReachOf(defaultPolicy)).toBe(defaultPolicy.reachLimit);
    // The shots on a rim of the widest kind, 5 m across, and 0.15 m beside it.
    expect(nearReachOf({ ...defaultPolicy, shotLimit: 1, reachLimit: 1 })).toBeGreaterThan(2.65);
  });

  test('no shot beyond it changes the plan, nor one on no line beyond the near one, once the sigma is settled', {
    timeout: 60_000,
  }, () => {
    const sites = fc.record({
      seed: fc.integer({ min: 1, max: 1e6 }),
      radius: fc.constantFrom(60, 90, 150, -80, 1e5),
      every: fc.constantFrom(5, 12, 22, 31),
      strays: fc.integer({ min: 0, max: 24 }),
      bearing: fc.constantFrom(0, null),
    });
    fc.assert(
      fc.property(sites, ({ bearing, ...site }) => {
        const { shots, cover: middle } = street(site);
        const cover = { ...middle, roadBearing: bearing };
        const reach = reachOf(defaultPolicy);
        const near = shots.filter(
          (s) =>
            Math.hypot(s.east - cover.east, s.north - cover.north) <=
            (isOnLine(s.role) ? reach : nearReachOf(defaultPolicy)),
        );
        const whole = estimateSigma(layOutSurvey(shots, 's', null), [cover], defaultPolicy);
        const part = withSettledSigma(layOutSurvey(near, 's', null), settledOf(whole));
        const context = { solver, policy: defaultPolicy, treatment: noTreatment };
        if (Math.abs(site.radius) > 100) expect(near.length).toBeLessThan(shots.length);
        expect(planCover(cover, { ...context, survey: part })).toEqual(
          planCover(cover, { ...context, survey: whole }),
        );
      }),
      { numRuns: 60, seed: 11 },
    );
  });

  test('a shot beyond it is not named as the nearest one', () => {
    const survey = layOutSurvey(named([shot(reachOf(defaultPolicy) + 1, 0, 100)]), 's', 0.002);
    const context = { survey, solver, policy: defaultPolicy, treatment: noTreatment };
    const plan = planCover({ ...coverAt(), ...placeAt() }, context);
    expect(plan.reasons[0]).toEqual({ code: 'noShots', values: { limit: defaultPolicy.shotLimit } });
  });
});
