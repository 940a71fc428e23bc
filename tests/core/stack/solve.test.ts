import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { StackTarget } from '#core/stack/rigid.ts';
import { makeSolver, type Solution, toleranceSlack } from '#core/stack/solve.ts';
import type { Objective, PlacedRing, RingCatalogue } from '#core/stack/types.ts';
import {
  anyCatalogue,
  anyTarget,
  inchCatalogue,
  metricCatalogue,
  stackTarget,
} from '../../helpers/catalogues.ts';
import { bestOfAll } from '../../helpers/exhaustive.ts';
import { sampleRim } from '../../helpers/pose.ts';

const objectives: Objective[] = ['fewest', 'closest', 'cheapest'];

const limitOf = ({ tolerance, allowance }: StackTarget) =>
  tolerance - allowance + (allowance > 0 ? 0 : tolerance * toleranceSlack) + 1e-9;

const inPlace = (catalogue: RingCatalogue, stack: readonly PlacedRing[]) =>
  stack.map(({ ring, azimuth }) => ({
    ...catalogue.rings.find((r) => r.id === ring)!,
    azimuth: azimuth ?? 0,
  }));

/** Names every rule of the catalogue that a stack breaks. */
function broken(catalogue: RingCatalogue, { stack, chimney }: Solution, markBearing: number): string[] {
  const rings = inPlace(catalogue, stack);
  const faults: string[] = [];
  if (stack.length > catalogue.maxRings) faults.push('too many rings');
  for (const { id, maxPerStack } of catalogue.rings)
    if (stack.filter((s) => s.ring === id).length > maxPerStack) faults.push(`too many of ${id}`);
  const tapered = rings.map((r) => r.thick > r.thin);
  if (tapered.filter(Boolean).length > 2) faults.push('more than two tapered rings');
  if (tapered.some((t, i) => t && tapered.slice(i).includes(false)))
    faults.push('a flat ring over a tapered one');
  if (stack.some((s, i) => (s.azimuth === null) === tapered[i]))
    faults.push('azimuths do not match the rings');
  const { base, between, top } = catalogue.joint;
  const joints = stack.length === 0 ? base : base + top + (stack.length - 1) * between;
  const height = rings.reduce((h, r) => h + (r.thin + r.thick) / 2, joints);
  if (Math.abs(height - chimney) > 1e-9) faults.push('chimney is not the sum of its parts');
  if (stack.length > 0 && height > catalogue.maxChimney + 1e-9) faults.push('chimney too high');
  const step = (2 * Math.PI) / catalogue.indexPositions;
  for (const { azimuth } of stack) {
    if (azimuth === null || catalogue.indexPositions === 0) continue;
    const marks = (azimuth - markBearing) / step;
    if (Math.abs(marks - Math.round(marks)) > 1e-6) faults.push('off the marks');
  }
  return faults;
}

describe('the search against trying every stack', () => {
  // Angles that may be anything are taken from the law of cosines on both sides and then composed exactly, so both
  // reach the same stack; rounding alone is left. 1e-6 m is far below what any ring is cut to.
  test.each(objectives)(
    'finds the same best for %s in a thousand random catalogues and targets',
    (objective) => {
      let withRings = 0;
      let withTapers = 0;
      let met = 0;
      fc.assert(
        fc.property(anyCatalogue, anyTarget, (catalogue, target) => {
          const { best } = makeSolver(catalogue).solve(target, objective);
          const limit = limitOf(target);
          const truth = bestOfAll(catalogue, target, { objective, limit });
          expect(best.stack.length).toBe(truth.count);
          expect(Math.abs(best.residual.worst - truth.worst)).toBeLessThan(1e-6);
          expect(best.withinTolerance).toBe(truth.worst <= limit);
          if (objective === 'cheapest' && best.withinTolerance) expect(best.cost).toBe(truth.cost);
          if (best.stack.length > 0) withRings++;
          if (best.stack.some((s) => s.azimuth !== null)) withTapers++;
          if (best.withinTolerance) met++;
        }),
        { numRuns: 1000, seed: 20260 },
      );
      // The sample has to hold what it is for.
      expect(withRings).toBeGreaterThan(400);
      expect(withTapers).toBeGreaterThan(200);
      expect(met).toBeGreaterThan(120);
    },
  );

  test.each(objectives)(
    'gives for %s only legal stacks whose stated residual a second composition confirms',
    (objective) => {
      fc.assert(
        fc.property(anyCatalogue, anyTarget, (catalogue, target) => {
          const { best, runnerUp } = makeSolver(catalogue).solve(target, objective);
          for (const solution of [best, runnerUp]) {
            if (!solution) continue;
            expect(broken(catalogue, solution, target.markBearing)).toEqual([]);
            const errors = sampleRim(target, inPlace(catalogue, solution.stack), catalogue);
            const worst = Math.max(...errors.map(Math.abs));
            // 720 points miss the peak of a sine by one part in a hundred thousand.
            expect(Math.abs(worst - solution.residual.worst)).toBeLessThan(
              2e-5 * solution.residual.tilt + 1e-9,
            );
            expect(solution.residual.worst).toBeGreaterThanOrEqual(0);
          }
        }),
        { numRuns: 300, seed: 7 },
      );
    },
  );

  test.each(objectives)('keeps for %s a runner-up of other rings that is no better', (objective) => {
    const key = (s: Solution) =>
      s.stack
        .map((r) => r.ring)
        .sort()
        .join();
    let kept = 0;
    fc.assert(
      fc.property(anyCatalogue, anyTarget, (catalogue, target) => {
        const { best, runnerUp } = makeSolver(catalogue).solve(target, objective);
        if (!runnerUp) return;
        kept++;
        expect(key(runnerUp)).not.toBe(key(best));
        if (runnerUp.withinTolerance) expect(best.withinTolerance || objective === 'closest').toBe(true);
        if (objective === 'closest' || !best.withinTolerance)
          expect(runnerUp.residual.worst).toBeGreaterThan(best.residual.worst - 1e-6);
        else if (runnerUp.withinTolerance && objective === 'fewest')
          expect(runnerUp.stack.length).toBeGreaterThanOrEqual(best.stack.length);
        else if (runnerUp.withinTolerance) expect(runnerUp.cost!).toBeGreaterThanOrEqual(best.cost!);
      }),
      { numRuns: 300, seed: 9 },
    );
    expect(kept).toBeGreaterThan(200);
  });
});

describe('stacks that a reckoning by slopes alone gets wrong', () => {
  test('a tapered ring that cannot be turned leans the frame, and the stack under it makes up for that', () => {
    const flat = (id: string, thick: number) => ({
      id,
      thin: thick,
      thick,
      outerDiameter: 0.85,
      maxPerStack: 2,
      cost: 1,
    });
    const catalogue: RingCatalogue = {
      ...metricCatalogue({ indexPositions: 1 }),
      maxRings: 3,
      rings: [flat('A', 0.1), flat('B', 0.1003), { ...flat('T', 0.06), thin: 0.02 }],
    };
    fc.assert(
      fc.property(anyTarget, (target) => {
        const { best } = makeSolver(catalogue).solve(target, 'closest');
        const truth = bestOfAll(catalogue, target, { objective: 'closest', limit: 0 });
        expect(Math.abs(best.residual.worst - truth.worst)).toBeLessThan(1e-6);
      }),
      { numRuns: 300, seed: 3 },
    );
  });

  test('of two different tapered rings the order that fits better is chosen', () => {
    const catalogue = inchCatalogue({ indexPositions: 12, maxRings: 2 });
    const [flat] = catalogue.rings;
    catalogue.rings = [
      { ...flat, id: 'S', thin: 0.0127, thick: 0.0254 },
      { ...flat, id: 'L', thin: 0.0254, thick: 0.0762 },
    ];
    const target = stackTarget({ gradient: [-0.05, 0.04], rise: 0.18 + 0.0762 });
    const { best } = makeSolver(catalogue).solve(target, 'closest');
    const truth = bestOfAll(catalogue, target, { objective: 'closest', limit: 0 });
    expect(best.stack.map((s) => s.ring)).toEqual(truth.rings.map((r) => r.id));
    const swapped = [...inPlace(catalogue, best.stack)].reverse();
    const other = Math.max(...sampleRim(target, swapped, catalogue).map(Math.abs));
    expect(best.residual.worst).toBeLessThan(other);
  });

  test('equal tapered rings on a level seat under a level surface cancel on opposite marks', () => {
    const catalogue = metricCatalogue({ indexPositions: 24 });
    catalogue.rings = catalogue.rings.filter((r) => r.id === 'T');
    const { best } = makeSolver(catalogue).solve(stackTarget({ rise: 0.18 + 0.05 + 0.0075 }), 'fewest');
    expect(best.stack).toHaveLength(2);
    const [lower, upper] = best.stack.map((s) => s.azimuth!);
    expect(Math.abs(lower - upper)).toBeCloseTo(Math.PI, 9);
    // Tilted and back again: 25 mm of ring stand 24 mm in a thousand off plumb, 7 micrometres short.
    expect(best.residual.worst).toBeLessThan(1e-5);
  });
});

describe('the edges of the search', () => {
  test('a seat elevation hundreds of metres off still gives the nearest stack and no exception', () => {
    for (const rise of [800, -800, 1e7]) {
      const { best, runnerUp } = makeSolver(metricCatalogue()).solve(stackTarget({ rise }), 'fewest');
      expect(best.withinTolerance).toBe(false);
      expect(Number.isFinite(best.residual.worst)).toBe(true);
      expect(runnerUp).not.toBeNull();
    }
  });

  test('a catalogue that allows no ring leaves the frame on the seat and no runner-up', () => {
    const { best, runnerUp } = makeSolver(metricCatalogue({ maxRings: 0 })).solve(stackTarget(), 'fewest');
    expect(best.stack).toEqual([]);
    expect(best.residual.worst).toBeCloseTo(0.12 - 0.0025, 9);
    expect(runnerUp).toBeNull();
  });

  test('a target that is not a number is a programmer’s error', () => {
    expect(() => makeSolver(metricCatalogue()).solve(stackTarget({ rise: Number.NaN }), 'fewest')).toThrow(
      RangeError,
    );
  });

  test('a catalogue of more stacks than can be tried is refused by that number', () => {
    const [flat] = metricCatalogue().rings;
    const rings = Array.from({ length: 22 }, (_, i) => ({
      ...flat,
      id: `K${i}`,
      thin: 0.001 * (i + 1),
      thick: 0.001 * (i + 1),
    }));
    expect(() => makeSolver(metricCatalogue({ rings, maxRings: 60, maxChimney: 10 }))).toThrow(
      /2000000 stacks/,
    );
  });

  test('three hundred thin rings are counted as three hundred', () => {
    const [flat] = metricCatalogue().rings;
    const rings = [{ ...flat, thin: 0.001, thick: 0.001, maxPerStack: 400 }];
    const joint = { base: 0, between: 0, top: 0 };
    const solver = makeSolver(metricCatalogue({ rings, maxRings: 400, maxChimney: 1, joint }));
    const { best } = solver.solve(stackTarget({ rise: 0.18 + 0.3 }), 'closest');
    expect(best.stack).toHaveLength(300);
    expect(best.residual.worst).toBeLessThan(1e-9);
  });

  test('a nearly tied stack just past the tolerance is the runner-up, not the one planned again', () => {
    const [flat] = metricCatalogue().rings;
    const ring = (id: string, thick: number) => ({ ...flat, id, thin: thick, thick, maxPerStack: 1 });
    const rings = [ring('A', 0.012), ring('B', 0.018), ring('C', 0.03 + 5e-8)];
    const solver = makeSolver(
      metricCatalogue({ rings, joint: { base: 0, between: 0, top: 0 }, maxRings: 2 }),
    );
    // 12 + 18 mm end a hundredth of a micrometre within the limit of 5 mm, the one ring of 30 a little past it.
    const target = stackTarget({ rise: 0.18 + 0.025 + 1e-8, tolerance: 0.006, allowance: 0.001 });
    const { best, runnerUp } = solver.solve(target, 'fewest');
    expect(best.stack.map((s) => s.ring).sort()).toEqual(['A', 'B']);
    expect(runnerUp!.stack.map((s) => s.ring)).toEqual(['C']);
  });

  test('stock of none is no ring', () => {
    const catalogue = metricCatalogue();
    catalogue.rings = catalogue.rings.map((r) => ({
      ...r,
      maxPerStack: r.thick > r.thin ? 0 : r.maxPerStack,
    }));
    const { best } = makeSolver(catalogue).solve(stackTarget({ gradient: [0.03, 0] }), 'closest');
    expect(best.stack.every((s) => s.azimuth === null)).toBe(true);
  });

  test('a cost is stated only where every ring has one', () => {
    const priced = metricCatalogue();
    priced.rings = priced.rings.map((r) => ({ ...r, cost: 12.5 }));
    const target = stackTarget({ rise: 0.18 + 0.08 + 0.005 });
    expect(makeSolver(priced).solve(target, 'cheapest').best.cost).toBe(12.5);
    expect(makeSolver(metricCatalogue()).solve(target, 'fewest').best.cost).toBeNull();
  });

  test('the allowance for survey asks for a nearer stack, even of more rings', () => {
    const solver = makeSolver(metricCatalogue());
    const rise = 0.18 + 0.05 + 0.005 + 0.005;
    const bare = solver.solve(stackTarget({ rise }), 'fewest').best;
    const careful = solver.solve(stackTarget({ rise, allowance: 0.003 }), 'fewest').best;
    expect(bare.residual.worst).toBeCloseTo(0.005, 9);
    expect(careful.residual.worst + 0.003).toBeLessThanOrEqual(0.006 + 1e-9);
    expect(careful.stack.length).toBeGreaterThan(bare.stack.length);
  });
});
