import { describe, expect, test } from 'vitest';
import { noTreatment, placeOf, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import { isOnLine, nearReachOf, reachOf } from '#core/plan/reach.ts';
import type { Cover } from '#core/plan/types.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { finishedFromShots } from '#core/surface/finished.ts';
import { settledOf, withSettledSigma } from '#core/surface/settledSigma.ts';
import { estimateSigma } from '#core/surface/sigma.ts';
import { layOutSurvey, type Survey } from '#core/surface/survey.ts';
import type { Shot } from '#core/surface/types.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';
import { seeded } from '../../helpers/corridor.ts';
import { coverAt, named, shot } from '../../helpers/site.ts';

/** Streets that wind and meet: crowns and gutters coded at odd intervals, shots and covers about them at random. */
function town(seed: number): { shots: Shot[]; covers: Cover[] } {
  const random = seeded(seed);
  const shots: Shot[] = [];
  const covers: Cover[] = [];
  const rough = () => 0.004 * (random() - 0.5);
  for (let street = 0; street < 4; street++) {
    let [east, north] = [random() * 300 - 150, random() * 300 - 150];
    let heading = random() * 2 * Math.PI;
    const turn = (random() - 0.5) / 30;
    const every = 4 + 24 * random();
    let since = Infinity;
    for (let along = 0; along < 700; along += 2) {
      heading += 2 * turn * Math.sin(along / 90);
      east += 2 * Math.sin(heading);
      north += 2 * Math.cos(heading);
      const at = (across: number): [number, number, number] => [
        east + across * Math.cos(heading),
        north - across * Math.sin(heading),
        100 + 0.01 * along - 0.02 * Math.abs(across) + rough(),
      ];
      since += 2;
      if (since >= every) {
        since = random() * 3;
        shots.push(shot(...at(0), { role: 'crown' }), shot(...at(4.8), { role: 'gutter' }));
        shots.push(shot(...at(-4.8), { role: 'gutter' }));
      }
      if (random() < 0.35) shots.push(shot(...at(9 * (random() - 0.5))));
      if (random() < 0.04) {
        const [e, n, z] = at(7 * (random() - 0.5));
        covers.push(
          coverAt({
            id: `${street}-${along}`,
            east: e,
            north: n,
            seatElevation: z - 0.3,
            roadBearing: heading,
          }),
        );
        for (let k = 0; k < 5; k++) {
          shots.push(shot(e + 3 * (random() - 0.5), n + 3 * (random() - 0.5), z + rough()));
          const turned = (k * 2 * Math.PI) / 5;
          shots.push(shot(e + 0.3 * Math.sin(turned), n + 0.3 * Math.cos(turned), z - 0.05, { role: 'rim' }));
        }
      }
    }
  }
  return { shots: named(shots), covers };
}

const solver = makeSolver(metricCatalogue());
const planned = (cover: Cover, survey: Survey, policy: Policy) =>
  JSON.stringify(planCover(cover, { survey, solver, policy, treatment: noTreatment }));

describe('the reach of a plan in a town of winding streets', () => {
  test.each([
    ['given', { shotSigma: 0.002 }],
    ['estimated', { shotSigma: null }],
    ['off', { shotSigma: 0 }],
    ['estimated, with wider limits', { shotSigma: null, shotLimit: 9, reachLimit: 25 }],
  ])(
    'a cover planned from the shots within it is planned as from all, bit for bit; sigma %s',
    (_, change) => {
      const policy = { ...defaultPolicy, ...change };
      let compared = 0;
      for (const seed of [1, 2, 3]) {
        const { shots, covers } = town(seed);
        const whole = prepareSurvey(shots, covers, { policy, name: 'town' });
        for (const cover of covers) {
          const near = shots.filter(
            (s) =>
              Math.hypot(s.east - cover.east, s.north - cover.north) <=
              (isOnLine(s.role) ? reachOf(policy) : nearReachOf(policy)),
          );
          expect(near.length).toBeLessThan(shots.length);
          const part = withSettledSigma(layOutSurvey(near, 'town', policy.shotSigma), settledOf(whole));
          expect(planned(cover, part, policy)).toBe(planned(cover, whole, policy));
          compared++;
        }
      }
      expect(compared).toBeGreaterThan(60);
    },
  );

  test('hangs on nothing that lies beyond: a shot moved there changes no finished grade', () => {
    const { shots, covers } = town(4);
    const policy = { ...defaultPolicy, shotSigma: 0.002 };
    for (const cover of covers.slice(0, 12)) {
      const place = placeOf(cover);
      const moved = shots.map((s) =>
        Math.hypot(s.east - place.east, s.north - place.north) >
        (isOnLine(s.role) ? reachOf(policy) : nearReachOf(policy))
          ? { ...s, east: s.east + 0.4, elevation: s.elevation + 1 }
          : s,
      );
      const grade = (all: Shot[]) => finishedFromShots(layOutSurvey(all, 'town', 0.002), place, policy);
      expect(grade(moved)).toEqual(grade(shots));
    }
  });
});

describe('sigma of a large survey', () => {
  test('is looked for at a bounded number of places, the same each time', () => {
    const { shots, covers } = town(5);
    const policy = { ...defaultPolicy };
    const survey = layOutSurvey(shots, 'town', null);
    const many = Array.from({ length: 5000 }, (_, i) => placeOf(covers[i % covers.length]));
    let asked = 0;
    const grid = Object.assign(Object.create(Object.getPrototypeOf(survey.grid)), survey.grid);
    grid.within = (...parameters: Parameters<typeof survey.grid.within>) => {
      asked++;
      return survey.grid.within(...parameters);
    };
    const first = estimateSigma({ ...survey, grid }, many, policy);
    expect(first.sigmaFrom).toBe('estimated');
    // 5000 places in one round alone would be as many.
    expect(asked).toBeLessThan(5000);
    expect(estimateSigma(survey, many, policy).shotSigma).toBe(first.shotSigma);
  });
});
