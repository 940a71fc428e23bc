import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { expectedDowns } from '#core/field/expectedDowns.ts';
import {
  type HoleInputs,
  type HoleSolver,
  inPlace,
  makeHoleSolver,
  type Truck,
} from '#core/stack/atTheHole.ts';
import { type HoleCover, type HoleGrade, holeTarget, isTarget } from '#core/stack/holeTarget.ts';
import { sayMeasureAgain } from '#core/stack/holeWords.ts';
import { composeStack, netBuildup, rimErrors, type StackTarget } from '#core/stack/rigid.ts';
import { roundTheRim } from '#core/stack/roundTheRim.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { tapeChecks } from '#core/stack/tapeChecks.ts';
import type { JointThickness, RingCatalogue } from '#core/stack/types.ts';
import { tapeMisclosure } from '#core/surface/tapes.ts';
import { toMetres } from '#core/units/length.ts';
import { degrees, fallAzimuth, radians, slopeOf } from '#core/units/slope.ts';
import {
  anyCatalogue,
  anyTarget,
  inchCatalogue,
  metricCatalogue,
  stackTarget,
} from '../../helpers/catalogues.ts';

const inch = 0.0254;
const rule = { tolerance: 0.25 * inch, misclosureLimit: tapeMisclosure };
const cover: HoleCover = {
  seatElevation: 100,
  seatGradient: [0, 0],
  frameHeight: 7 * inch,
  rimRadius: 13 * inch,
  setDown: 0,
  roadBearing: 0,
};
/** Worked case 10, with invented demo figures. */
const tenth: HoleGrade = {
  from: 'tapes',
  tapes: { down: [8.2 * inch, 7.95 * inch, 7.6 * inch, 7.9 * inch], radius: 15 * inch, bearing: 0 },
};
const solverOf = (
  catalogue: RingCatalogue,
  given: { truck?: Truck; joint?: JointThickness } = {},
): HoleSolver => {
  const made = makeHoleSolver(catalogue, given);
  if ('code' in made) throw new Error(made.message);
  return made;
};
const inputs = (change: Partial<HoleInputs> = {}): HoleInputs => ({
  cover,
  grade: tenth,
  planned: [],
  tolerance: 0.25 * inch,
  objective: 'closest',
  ...change,
});
const solved = (solver: HoleSolver, given: HoleInputs) => {
  const answer = solver.solve(given);
  if ('code' in answer) throw new Error(answer.code);
  return answer;
};
const ids = ({ stack }: { stack: { ring: string }[] }) => stack.map(({ ring }) => ring).sort();

describe('the target as it is seen at the hole', () => {
  test('worked case 10: mean 7.9125 in, 2.01 % thick toward 4.8 degrees, misclosure -0.05 in, net 0.9125 in', () => {
    const seen = holeTarget(cover, tenth, rule);
    if (!isTarget(seen)) throw new Error(seen.code);
    expect(seen.target.rise / inch).toBeCloseTo(7.9125, 9);
    expect(100 * slopeOf(seen.target.gradient)).toBeCloseTo(2.01, 2);
    expect(degrees(fallAzimuth(seen.target.gradient))).toBeCloseTo(184.8, 1);
    expect(seen.misclosure! / inch).toBeCloseTo(-0.05, 9);
    // Less what the frame's height along its own axis takes more at 2 %: 0.0014 in.
    expect(netBuildup(seen.target) / inch).toBeCloseTo(0.9125, 2);
    expect(seen.target).toMatchObject({ seatGradient: [0, 0], allowance: 0 });
  });

  test('a set-down lowers the target, not the string', () => {
    const seen = holeTarget({ ...cover, setDown: 0.125 * inch }, tenth, rule);
    expect(isTarget(seen) && seen.target.rise / inch).toBeCloseTo(7.7875, 9);
  });

  test('without tapes the plan’s finished grade counts, with its allowance and the seat’s own tilt', () => {
    const finished = { elevation: 100.3, gradient: [0.01, 0.02] as const, sigmaRim: 0.001 };
    const tilted: HoleCover = { ...cover, seatGradient: [0.005, 0], setDown: 0.01, roadBearing: 1 };
    const seen = holeTarget(tilted, { from: 'plan', finished }, rule);
    expect(seen).toMatchObject({
      bearing: 1,
      misclosure: null,
      target: { gradient: [0.01, 0.02], seatGradient: [0.005, 0], allowance: 0.002, markBearing: 1 },
    });
    expect(isTarget(seen) && seen.target.rise).toBeCloseTo(0.29, 9);
    const unknown = holeTarget({ ...tilted, roadBearing: null }, { from: 'plan', finished }, rule);
    expect(unknown).toMatchObject({ bearing: 0 });
  });

  test('tapes need no elevation of the seat; the plan’s finished grade does, and says what to do instead', () => {
    const unknown: HoleCover = { ...cover, seatElevation: null };
    expect(holeTarget(unknown, tenth, rule)).toEqual(holeTarget(cover, tenth, rule));
    const finished = { elevation: 100.3, gradient: [0, 0] as const, sigmaRim: 0.001 };
    const asked = holeTarget(unknown, { from: 'plan', finished }, rule);
    expect(asked).toEqual({ code: 'seatUnknown', values: {} });
    if (isTarget(asked)) throw new Error('a target without a seat');
    expect(sayMeasureAgain(asked, 'fractionInches')).toMatch(
      /^The seat was never measured.*take the four tapes/,
    );
  });

  test('tapes that disagree, are missing or have no place are asked for again, in words', () => {
    const { tapes } = tenth as Extract<HoleGrade, { from: 'tapes' }>;
    const say = (change: Partial<typeof tapes>) => {
      const answer = solverOf(inchCatalogue()).solve(
        inputs({ grade: { from: 'tapes', tapes: { ...tapes, ...change } } }),
      );
      return 'code' in answer ? sayMeasureAgain(answer, 'fractionInches') : 'solved';
    };
    const twisted: typeof tapes.down = [8.5 * inch, 7.95 * inch, 7.6 * inch, 7.875 * inch];
    expect(say({ down: twisted })).toMatch(
      /^12 and 6 differ from 9 and 3 by 1\/4 in; up to 1\/8 in is usual/,
    );
    expect(say({ down: [Number.NaN, 0.2, 0.2, 0.2] })).toBe('The tape at 12 o’clock is missing.');
    expect(say({ down: [0.2, 0.2, 0.2, Number.NaN] })).toBe('The tape at 9 o’clock is missing.');
    expect(say({ radius: 0 })).toMatch(/How far/);
    expect(say({})).toBe('solved');
  });
});

describe('the stack as it is solved at the hole', () => {
  test('worked case 6: the thick rope of a vacuum test gives 3 + 1.5 + 1 in, 0.015 in low; the plan’s 3 + 2 + 1 would be 0.485 high', () => {
    const flats = inchCatalogue();
    flats.rings = flats.rings.filter(({ thin, thick }) => thin === thick);
    const finished = { elevation: toMetres(842.31, 'ft'), gradient: [0, 0] as const, sigmaRim: 0 };
    const sixth: HoleCover = { ...cover, seatElevation: toMetres(841.19, 'ft'), setDown: 0.125 * inch };
    const planned = ['F3', 'F2', 'F1'].map((ring) => ({ ring, azimuth: null }));
    const rope = { base: 0.3 * inch, between: 0.1 * inch, top: 0.3 * inch };
    const answer = solved(
      solverOf(flats, { joint: rope }),
      inputs({ cover: sixth, grade: { from: 'plan', finished }, planned }),
    );
    expect(ids(answer.best)).toEqual(['F1', 'F1.5', 'F3']);
    expect(answer.best.worst.error / inch).toBeCloseTo(-0.015, 6);
    expect(answer.planned!.worst.error / inch).toBeCloseTo(0.485, 6);
    expect(answer.planned!.withinTolerance).toBe(false);
    expect(answer.change).toBe('otherRings');
  });

  test('tapes as the plan expects them give the plan’s stack again', () => {
    const catalogue = metricCatalogue();
    const target = stackTarget({ rise: 0.32, gradient: [0.02, 0.015], frameHeight: 0.15 });
    const { best } = makeSolver(catalogue).solve(target, 'closest');
    const bearing = radians(40);
    const down = expectedDowns({ rise: 0.323, gradient: target.gradient, radius: 0.4, bearing });
    const here: HoleCover = { ...cover, frameHeight: 0.15, rimRadius: 0.33, setDown: 0.003 };
    const given = inputs({
      cover: here,
      grade: { from: 'tapes', tapes: { down, radius: 0.4, bearing } },
      tolerance: 0.006,
      planned: best.stack,
    });
    const answer = solved(solverOf(catalogue), given);
    expect(answer.change).toBe('same');
    expect(answer.planned!.worst.error).toBeCloseTo(answer.best.worst.error, 9);
    const turned = best.stack.map((ring) => ({ ...ring, azimuth: ring.azimuth && ring.azimuth + 0.1 }));
    expect(solved(solverOf(catalogue), { ...given, planned: turned }).change).toBe('turned');
    const upsideDown = best.stack.toReversed();
    expect(solved(solverOf(catalogue), { ...given, planned: upsideDown }).change).toBe('turned');
    const unknown = [{ ring: 'gone', azimuth: null }];
    expect(solved(solverOf(catalogue), { ...given, planned: unknown })).toMatchObject({
      planned: null,
      change: 'otherRings',
    });
  });

  test('marks count from 12 o’clock of the tapes, or from north', () => {
    const bearing = radians(7);
    const tapes = { down: [0.235, 0.22, 0.205, 0.22] as const, radius: 0.4, bearing };
    const turn = (indexFrom: 'road' | 'north') => {
      const catalogue = metricCatalogue({ indexPositions: 4, indexFrom });
      const { best } = solved(
        solverOf(catalogue),
        inputs({ grade: { from: 'tapes', tapes }, cover: { ...cover, frameHeight: 0.15 } }),
      );
      return best.stack.flatMap(({ azimuth }) => (azimuth === null ? [] : [Math.round(degrees(azimuth))]));
    };
    expect(turn('road').every((azimuth) => azimuth % 90 === 7)).toBe(true);
    expect(turn('north').every((azimuth) => azimuth % 90 === 0)).toBe(true);
    expect(turn('road').length + turn('north').length).toBeGreaterThan(1);
  });

  test('only what is on the truck goes in, and what the plan wants of it is named', () => {
    const planned = ['F80', 'F80', 'T'].map((ring) => ({ ring, azimuth: ring === 'T' ? 0 : null }));
    const truck = { F80: 1, F50: 2.9, T: -1, F20: 3 };
    const answer = solved(solverOf(metricCatalogue(), { truck }), inputs({ planned }));
    expect(answer.missing).toEqual(['F80', 'T']);
    expect(ids(answer.best).every((ring) => ['F80', 'F50', 'F20'].includes(ring))).toBe(true);
    expect(solved(solverOf(metricCatalogue()), inputs({ planned })).missing).toEqual([]);
    const bare = solved(solverOf(metricCatalogue(), { truck: {} }), inputs());
    expect(bare).toMatchObject({ best: { stack: [] }, runnerUp: null, planned: null, change: 'same' });
  });

  test('rings that make too many stacks come back as a problem, another fault is thrown', () => {
    const rings = Array.from({ length: 30 }, (_, i) => ({
      ...inchCatalogue().rings[0],
      id: `R${i}`,
      maxPerStack: 9,
    }));
    const made = makeHoleSolver(inchCatalogue({ rings, maxRings: 30, maxChimney: 9 }));
    expect(made).toMatchObject({ code: 'tooManyStacks', column: 'rings' });
    expect(() => makeHoleSolver({ ...inchCatalogue(), rings: [null as never] })).toThrow(TypeError);
  });

  test('with any rings and target: the solver’s own best, with its error at the clocks and all round', () => {
    fc.assert(
      fc.property(
        anyCatalogue,
        anyTarget,
        fc.double({ min: 0, max: 6.2, noNaN: true }),
        (catalogue, target, bearing) => {
          const solver = solverOf(catalogue);
          const answer = solver.solveFor(target, { planned: [], objective: 'fewest', bearing });
          const plain = makeSolver(catalogue).solve(target, 'fewest');
          expect(answer.best.stack).toEqual(plain.best.stack);
          expect(Math.abs(answer.best.worst.error)).toBeCloseTo(plain.best.residual.worst, 9);
          const stack = inPlace(catalogue, answer.best.stack)!;
          const round = rimErrors(target, stack, catalogue.joint, 720);
          const high = round.map(Math.abs).reduce((a, b) => Math.max(a, b));
          expect(Math.abs(answer.best.worst.error)).toBeGreaterThanOrEqual(high - 1e-9);
          const { clocks } = roundTheRim(target, stack, { joint: catalogue.joint, bearing: 0 });
          expect(clocks[1]).toBeCloseTo(round[180], 9);
          expect(clocks[3]).toBeCloseTo(round[540], 9);
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe('tapes to check a stack by', () => {
  const joint = { base: 0.0025, between: 0.0025, top: 0.005 };
  const ring = { thin: 0.02, thick: 0.02, outerDiameter: 0.85, azimuth: 0 };
  const wedge = { thin: 0.015, thick: 0.035, outerDiameter: 0.85, azimuth: Math.PI / 2 };
  const given = { joint, radius: 0.33, bearing: 0, setDown: 0.003 };

  test('a level stack: heights are sums, from the string down what is left', () => {
    const target = stackTarget({ rise: 0.2325, frameHeight: 0.15 });
    const checks = tapeChecks(target, [ring, ring], given);
    for (const up of checks.seatToRim) expect(up).toBeCloseTo(0.15 + 0.04 + 0.01, 9);
    for (const down of checks.stringToSeat) expect(down).toBeCloseTo(0.2355, 9);
    expect(checks.stringToTops).toHaveLength(2);
    for (const down of checks.stringToTops[0]) expect(down).toBeCloseTo(0.2355 - 0.0225, 9);
    for (const down of checks.stringToTops[1]) expect(down).toBeCloseTo(0.2355 - 0.045, 9);
  });

  test('with the stack that fits, seat to rim is the string’s tape less the set-down, to what the tilt walks', () => {
    const gradient = [0.02 / 0.85, 0] as const;
    const target: StackTarget = stackTarget({ gradient, rise: 0.2 });
    const { centre } = composeStack(target, [ring, wedge], joint);
    const fitting = { ...target, rise: target.rise + centre };
    const { seatToRim, stringToSeat, stringToTops } = tapeChecks(fitting, [ring, wedge], given);
    seatToRim.forEach((up, index) => {
      expect(up).toBeCloseTo(stringToSeat[index] - 0.003, 5);
    });
    // Thick to the east: at 3 o'clock the rim stands higher over the seat than at 9, by slope times the width.
    expect(seatToRim[1] - seatToRim[3]).toBeCloseTo((0.66 * 0.02) / 0.85, 9);
    expect(stringToTops[1][1] - stringToTops[1][3]).toBeCloseTo(0, 9);
    expect(stringToTops[0][1] - stringToTops[0][3]).toBeCloseTo((0.66 * 0.02) / 0.85, 9);
  });

  test('what the string shows of the seat is what a plan expects of the tapes', () => {
    const target = stackTarget({ gradient: [0.03, -0.01], seatGradient: [0.01, 0.005] });
    const { stringToSeat } = tapeChecks(target, [], { ...given, bearing: 0.7 });
    const expected = expectedDowns({
      rise: target.rise + 0.003,
      gradient: [0.02, -0.015],
      radius: 0.33,
      bearing: 0.7,
    });
    stringToSeat.forEach((down, index) => {
      expect(down).toBeCloseTo(expected[index], 12);
    });
  });
});
