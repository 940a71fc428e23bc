import { describe, expect, it } from 'vitest';
import {
  countedJoint,
  countSeals,
  lacksRope,
  orderWords,
  plannedCatalogue,
  plannedJoint,
  sealPlan,
  thickEnds,
} from '#core/seal/sealPlan.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { Ring, RingCatalogue } from '#core/stack/types.ts';

const inch = 0.0254;
const usual = { base: 0.1 * inch, between: 0.1 * inch, top: 0.1 * inch };

/** All of these: common practice, no source. */
describe('what is laid in each joint', () => {
  it('is a bead, two on a rough seat', () => {
    const asked = { rings: 3, isVacuumAsked: false, isThick: thickEnds(usual, usual), isSeatRough: true };
    expect(sealPlan(asked).map(orderWords)).toEqual(['two beads', 'one bead', 'one bead', 'one bead']);
    expect(countSeals([sealPlan(asked)])).toEqual({ bead: 5, rope: 0, thickRope: 0 });
  });

  it('is rope and no tube where a vacuum test is asked for, thick at bottom and top', () => {
    const joint = plannedJoint(usual, { isVacuumAsked: true, thickRope: 0.3 * inch });
    const asked = { rings: 2, isVacuumAsked: true, isThick: thickEnds(joint, usual), isSeatRough: false };
    expect(sealPlan(asked).map(orderWords)).toEqual(['one thick rope', 'one rope', 'one thick rope']);
    expect(sealPlan({ ...asked, rings: 0 }).map(orderWords)).toEqual(['one thick rope']);
    expect(countSeals([sealPlan(asked), sealPlan(asked)])).toEqual({ bead: 0, rope: 2, thickRope: 4 });
  });

  it('keeps the usual joints where no test is asked for, or the rope is not known', () => {
    expect(plannedJoint(usual, { isVacuumAsked: false, thickRope: 0.3 * inch })).toEqual(usual);
    expect(plannedJoint(usual, { isVacuumAsked: true, thickRope: null })).toEqual(usual);
  });
});

/** A worked example of the trade (common practice, no source): build 6.315 in, flats of 1, 1 1/2, 2 and 3 in. */
describe('a stack on thick rope', () => {
  const flat = (size: number): Ring => ({
    id: String(size),
    thin: size * inch,
    thick: size * inch,
    outerDiameter: 34 * inch,
    maxPerStack: 1,
    cost: null,
  });
  const catalogue: RingCatalogue = {
    unit: 'in',
    rings: [1, 1.5, 2, 3].map(flat),
    indexPositions: 0,
    indexFrom: 'north',
    maxRings: 3,
    maxChimney: 12 * inch,
    joint: usual,
  };
  const solve = (joint: RingCatalogue['joint']) =>
    makeSolver({ ...catalogue, joint }).solve(
      {
        rise: (6.315 + 7) * inch,
        gradient: [0, 0],
        seatGradient: [0, 0],
        frameHeight: 7 * inch,
        rimRadius: 13 * inch,
        markBearing: 0,
        tolerance: inch / 4,
        allowance: 0,
      },
      'closest',
    );

  it('is 3 + 2 + 1 without and 3 + 1 1/2 + 1 with, which ends 0.015 in low', () => {
    const names = (joint: RingCatalogue['joint']) =>
      solve(joint)
        .best.stack.map(({ ring }) => ring)
        .sort()
        .reverse();
    expect(names(usual)).toEqual(['3', '2', '1']);
    const rope = plannedJoint(usual, { isVacuumAsked: true, thickRope: 0.3 * inch });
    expect(names(rope)).toEqual(['3', '1.5', '1']);
    expect(solve(rope).best.residual.centre / inch).toBeCloseTo(-0.015, 3);
  });

  it('is planned with a catalogue that says which rope its joints count, and else with the catalogue as it is', () => {
    const thickRope = 0.3 * inch;
    const asked = plannedCatalogue(catalogue, { isVacuumAsked: true, thickRope });
    expect(asked).toEqual({ ...catalogue, joint: countedJoint(usual, thickRope), thickRope });
    expect(plannedCatalogue(catalogue, { isVacuumAsked: false, thickRope })).toBe(catalogue);
    expect(plannedCatalogue(catalogue, { isVacuumAsked: true, thickRope: null })).toBe(catalogue);
    expect(countedJoint(usual, undefined)).toBe(usual);
    expect(countedJoint(usual, null)).toBe(usual);
  });

  it('lacks the rope of a test where it was solved with less at bottom or top', () => {
    const wanted = countedJoint(usual, 0.3 * inch);
    expect(lacksRope(usual, wanted, 3)).toBe(true);
    expect(lacksRope(wanted, wanted, 3)).toBe(false);
    expect(lacksRope({ ...wanted, top: usual.top }, wanted, 3)).toBe(true);
    // A frame on its bare seat has one joint.
    expect(lacksRope({ ...wanted, top: usual.top }, wanted, 0)).toBe(false);
    expect(lacksRope(countedJoint(usual, 0.4 * inch), wanted, 3)).toBe(false);
  });
});
