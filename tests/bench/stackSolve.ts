import { readRingCatalogue } from '#core/register/rings.ts';
import type { StackTarget } from '#core/stack/rigid.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import { catalogues, seeded } from '../helpers/corridor.ts';
import { bestOfAll } from '../helpers/exhaustive.ts';
import type { BenchCase } from './types.ts';

/** Targets as an overlay brings them: 1 to 11 in of buildup, slopes up to 4 %, streets of one bearing. */
export function makeTargets(count: number, seed: number): StackTarget[] {
  const random = seeded(seed);
  return Array.from({ length: count }, () => ({
    rise: 0.1778 + 0.0254 * (1 + 10 * random()),
    gradient: [(random() - 0.5) * 0.06, (random() - 0.5) * 0.06] as const,
    seatGradient: [0, 0] as const,
    frameHeight: 0.1778,
    rimRadius: 0.33,
    markBearing: 0.7,
    tolerance: 0.00635,
    allowance: 0.0016,
  }));
}

export function stackCases(): BenchCase[] {
  return (['us', 'metric'] as const).map((system) => {
    const catalogue = readRingCatalogue(catalogues[system]) as RingCatalogue;
    const solver = makeSolver(catalogue);
    const targets = makeTargets(20_000, 7);
    const few = targets.slice(0, 20);
    return {
      name: `stack with its runner-up, ${system} catalogue`,
      count: targets.length,
      unit: 'covers',
      work: () => {
        for (const target of targets) solver.solve(target, 'fewest');
      },
      plain: {
        name: 'every stack tried',
        count: few.length,
        work: () => {
          for (const target of few)
            bestOfAll(catalogue, target, { objective: 'fewest', limit: target.tolerance - target.allowance });
        },
      },
      aim: 'at most 10 µs a cover',
    };
  });
}
