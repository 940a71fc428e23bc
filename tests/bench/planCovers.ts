import { noTreatment, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy } from '#core/plan/policy.ts';
import type { Cover } from '#core/plan/types.ts';
import { readRingCatalogue } from '#core/register/rings.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import { fitPlane } from '#core/surface/plane.ts';
import type { Shot } from '#core/surface/types.ts';
import { catalogues, seeded } from '../helpers/corridor.ts';
import type { BenchCase } from './types.ts';

const shotsPerCover = 10;

/** Covers far enough apart that each has its own ten shots, on slopes of up to 3 % each way, 2 mm noise. */
function makeField(count: number): { covers: Cover[]; shots: Shot[] } {
  const random = seeded(3);
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const covers: Cover[] = [];
  const shots: Shot[] = [];
  for (let i = 0; i < count; i++) {
    const east = 400_000 + (i % 200) * 25;
    const north = 200_000 + Math.floor(i / 200) * 25;
    const a = (random() - 0.5) * 0.06;
    const b = (random() - 0.5) * 0.06;
    for (let k = 0; k < shotsPerCover; k++) {
      const angle = (2 * Math.PI * (k + 0.5 * random())) / shotsPerCover;
      const r = 1 + 2 * random();
      const x = r * Math.sin(angle);
      const y = r * Math.cos(angle);
      const elevation = 100 + a * x + b * y + 0.002 * normal();
      const point = `${i}-${k}`;
      shots.push({
        point,
        east: east + x,
        north: north + y,
        elevation,
        code: 'FG',
        role: 'surface',
        sigma: null,
      });
    }
    covers.push({
      id: `C-${i}`,
      kind: 'sanitary',
      east,
      north,
      seatElevation: 100 - 0.1778 - 0.05 - 0.2 * random(),
      seatGradient: [0, 0],
      rimElevation: 99.9,
      frameHeight: 0.1778,
      rimRadius: 0.33,
      roadBearing: 0.7,
      setDown: 0,
      adjustment: 'rings',
      condition: { located: null, chimneyUnsound: null, frameUnsound: null },
    });
  }
  return { covers, shots };
}

export function planCases(): BenchCase[] {
  const { covers, shots } = makeField(20_000);
  const policy = defaultPolicy;
  const survey = prepareSurvey(shots, covers, { policy, name: 'bench' });
  const points = covers.map((cover, i) =>
    shots
      .slice(i * shotsPerCover, (i + 1) * shotsPerCover)
      .map((s) => ({ x: s.east - cover.east, y: s.north - cover.north, z: s.elevation })),
  );
  return (['us', 'metric'] as const).map((system) => {
    const solver = makeSolver(readRingCatalogue(catalogues[system]) as RingCatalogue);
    const context = { survey, solver, policy, treatment: noTreatment };
    return {
      name: `surface, decision and stack, 10 shots, ${system}`,
      count: covers.length,
      unit: 'covers',
      work: () => {
        for (const cover of covers) planCover(cover, context);
      },
      plain: {
        name: 'one bare least-squares plane',
        count: covers.length,
        work: () => {
          for (const shotsOfOne of points) fitPlane(shotsOfOne);
        },
      },
      aim: 'at least 50,000 covers/s',
    };
  });
}
