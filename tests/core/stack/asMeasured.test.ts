import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { targetAsMeasured } from '#core/stack/asMeasured.ts';
import { inPlace, makeHoleSolver } from '#core/stack/atTheHole.ts';
import { composeStack, type StackTarget } from '#core/stack/rigid.ts';
import { roundTheRim } from '#core/stack/roundTheRim.ts';
import { toleranceSlack } from '#core/stack/solve.ts';
import type { PlacedRing } from '#core/stack/types.ts';
import { metricCatalogue, stackTarget } from '../../helpers/catalogues.ts';

const catalogue = metricCatalogue();
const { joint } = catalogue;
const made = makeHoleSolver(catalogue);
if ('code' in made) throw new Error(made.message);
const solver = made;
const solve = (target: StackTarget, bearing: number, planned: PlacedRing[] = []) =>
  solver.solveFor(target, { planned, objective: 'closest', bearing });
const ringsOf = (stack: readonly PlacedRing[]) => inPlace(catalogue, stack)!;

/** What a crew would measure round the rim of that stack on the true seat. */
const measured = (truth: StackTarget, stack: readonly PlacedRing[], bearing: number) =>
  roundTheRim(truth, ringsOf(stack), { joint, bearing }).clocks;

const slope = fc.double({ min: -0.03, max: 0.03, noNaN: true });
const cases = fc.record({
  rise: fc.double({ min: 0.26, max: 0.4, noNaN: true }),
  gradient: fc.tuple(slope, slope),
  seatGradient: fc.tuple(slope, slope),
  higher: fc.double({ min: -0.03, max: 0.03, noNaN: true }),
  tilt: fc.tuple(slope, slope),
  bearing: fc.double({ min: 0, max: 2 * Math.PI, noNaN: true }),
});

describe('the seat as a checked rim shows it', () => {
  test('is the true one, whatever its height and tilt are beyond the plan', () => {
    fc.assert(
      fc.property(cases, ({ higher, tilt, bearing, ...rest }) => {
        const planned = stackTarget(rest);
        const [east, north] = planned.seatGradient;
        const truth = {
          ...planned,
          rise: planned.rise - higher,
          seatGradient: [east + tilt[0], north + tilt[1]] as const,
        };
        const { stack } = solve(planned, bearing).best;
        const errors = measured(truth, stack, bearing);
        const rings = ringsOf(stack);
        const seen = targetAsMeasured(planned, {
          errors,
          bearing,
          rings,
          joint,
          sigma: 0,
          isOnSurface: true,
        });
        expect(seen.seatHigher).toBeCloseTo(higher, 7);
        expect(seen.target.seatGradient[0]).toBeCloseTo(truth.seatGradient[0], 7);
        expect(seen.target.seatGradient[1]).toBeCloseTo(truth.seatGradient[1], 7);
        expect(Math.hypot(seen.seatTilt.up, seen.seatTilt.right)).toBeCloseTo(Math.hypot(...tilt), 7);
        // The new stack ends on the true seat where it was worked out to end.
        const again = solve(seen.target, bearing, stack).best;
        const onTruth = composeStack(truth, ringsOf(again.stack), joint);
        expect(onTruth.worst).toBeCloseTo(again.residual.worst, 7);
        // Without an allowance for the survey a stack is held to the tolerance and its slack.
        const limit = truth.tolerance * (1 + toleranceSlack);
        if (again.withinTolerance) expect(onTruth.worst).toBeLessThanOrEqual(limit + 1e-7);
      }),
      { numRuns: 150 },
    );
  });

  test('12 mm too high leaves a lower stack that reaches, where the planned one is 12 mm proud', () => {
    const planned = stackTarget({ rise: 0.2775 });
    const truth = { ...planned, rise: planned.rise - 0.012 };
    const { stack } = solve(planned, 0).best;
    const errors = measured(truth, stack, 0);
    const rings = ringsOf(stack);
    const seen = targetAsMeasured(planned, {
      errors,
      bearing: 0,
      rings,
      joint,
      sigma: 0.001,
      isOnSurface: true,
    });
    expect(seen.seatHigher).toBeCloseTo(0.012, 9);
    const { best } = solve(seen.target, 0, stack);
    expect(best.stack).not.toEqual(stack);
    expect(composeStack(truth, ringsOf(best.stack), joint).worst).toBeLessThan(0.006);
  });

  test('is as doubtful as the shots at the rim, and as the surface where they were not taken on it', () => {
    const planned = stackTarget({ allowance: 0.004 });
    const rim = { errors: [0, 0, 0, 0] as [number, number, number, number], bearing: 0, rings: [], joint };
    // Variance of a plane through four points on a circle, at the circle: 1/4 + 1/2 of one point's.
    const plane = 2 * 0.002 * Math.sqrt(0.75);
    const onSurface = targetAsMeasured(planned, { ...rim, sigma: 0.002, isOnSurface: true });
    expect(onSurface.target.allowance).toBeCloseTo(plane, 12);
    const levelled = targetAsMeasured(planned, { ...rim, sigma: 0.002, isOnSurface: false });
    expect(levelled.target.allowance).toBeCloseTo(Math.hypot(plane, 0.004), 12);
  });
});
