import { describe, expect, test } from 'vitest';
import { decide, type Facts } from '#core/decision/decide.ts';
import { makeSolver, toleranceSlack } from '#core/stack/solve.ts';
import { metricCatalogue, stackTarget } from '../../helpers/catalogues.ts';
import { coverAt } from '../../helpers/site.ts';

/** Facts of a cover whose stack needs this buildup, with its rim so far off; all the rest is in order. */
function facts(
  buildup: number,
  change: Partial<Facts> & { gradient?: [number, number] } = {},
): Facts & { stack: NonNullable<Facts['stack']> } {
  const catalogue = change.catalogue ?? metricCatalogue();
  const allowance = change.allowance ?? 0;
  const target = stackTarget({ rise: 0.18 + buildup, allowance, gradient: change.gradient ?? [0, 0] });
  const { best } = makeSolver(catalogue).solve(target, 'fewest');
  return {
    cover: coverAt(),
    catalogue,
    tolerance: 0.006,
    allowance,
    rim: { centre: -0.04, worst: 0.04, shots: 4 },
    stack: { netBuildup: buildup, best },
    overLine: false,
    split: null,
    overhang: 0,
    ...(change as object),
  };
}

const twoSizes = metricCatalogue();
twoSizes.rings = twoSizes.rings.filter((r) => r.id === 'F20' || r.id === 'F80');

const codes = (f: Facts) => decide(f).reasons.map((r) => r.code);
const state = (change: object) =>
  coverAt({ condition: { located: null, chimneyUnsound: null, frameUnsound: null, ...change } });

describe('the decision table', () => {
  test('A1 not found: find it first, no matter what else is true', () => {
    const cover = state({ located: false, chimneyUnsound: true });
    expect(decide(facts(0.05, { cover }))).toEqual({
      status: 'review',
      reasons: [{ code: 'notLocated', values: {} }],
    });
  });

  test('A2 a broken chimney is rebuilt, A3 a broken frame is replaced, an unknown state is neither', () => {
    expect(decide(facts(0.05, { cover: state({ chimneyUnsound: true }) })).status).toBe('rebuild');
    expect(decide(facts(0.05, { cover: state({ frameUnsound: true }) })).status).toBe('review');
    expect(decide(facts(0.055, { cover: state({ located: true, chimneyUnsound: false }) })).status).toBe(
      'raise',
    );
  });

  test('A2 a buildup past the chimney limit is rebuilt, and says by how much', () => {
    const decision = decide(facts(0.4));
    expect(decision.status).toBe('rebuild');
    const [{ code, values }] = decision.reasons;
    expect(code).toBe('pastChimney');
    expect(values).toEqual({ need: 0.4, limit: 0.33, short: expect.closeTo(0.07, 12) });
  });

  test('a frame too high even on its seat is looked at: no stack reaches the surface', () => {
    const proud = { centre: 0.03, worst: 0.03, shots: 4 };
    expect(decide(facts(-0.02, { rim: proud })).status).toBe('review');
    expect(codes(facts(-0.02, { rim: proud }))).toEqual(['frameTooHigh', 'nearestStack']);
    expect(decide(facts(-0.02)).status).toBe('review');
    expect(decide(facts(-0.02, { rim: null })).status).toBe('review');
  });

  test('A7 a rim right all round stays, with three shots or more to show it', () => {
    const decision = decide(facts(0.055, { rim: { centre: 0.002, worst: 0.006, shots: 3 } }));
    expect(decision).toEqual({
      status: 'leave',
      reasons: [{ code: 'within', values: { worst: 0.006, tolerance: 0.006, shots: 3 } }],
    });
  });

  test('A7 a rim right all round that the survey cannot vouch for stays, and says so', () => {
    const decision = decide(
      facts(0.055, { rim: { centre: 0.002, worst: 0.005, shots: 3 }, allowance: 0.002 }),
    );
    expect(decision.status).toBe('leave');
    expect(decision.reasons[1]).toEqual({
      code: 'leaveDoubt',
      values: { worst: 0.005, allowance: 0.002, tolerance: 0.006 },
    });
  });

  test('a target just under the chimney limit that no legal stack reaches names that limit', () => {
    const low = { ...metricCatalogue(), maxChimney: 0.1 };
    low.rings = low.rings.filter((r) => r.id === 'F80');
    const decision = decide(facts(0.098, { catalogue: low }));
    expect(decision.status).toBe('review');
    expect(decision.reasons[0]).toMatchObject({ code: 'unreachable', values: { limit: 'chimney' } });
  });

  test('A7 by one elevation alone a rim that is right asks for a straightedge', () => {
    const decision = decide(facts(0.055, { rim: { centre: -0.006, worst: null, shots: 0 } }));
    expect(decision.status).toBe('review');
    expect(decision.reasons[0].code).toBe('askStraightedge');
  });

  test('A7 a rim right at its centre that tilts past the tolerance is reset', () => {
    const low = facts(0.055, { rim: { centre: -0.001, worst: 0.009, shots: 4 } });
    expect(decide(low).status).toBe('raise');
    expect(codes(low)).toEqual(['low', 'tilted']);
    expect(decide(facts(0.055, { rim: { centre: 0.001, worst: 0.009, shots: 4 } })).status).toBe('lower');
  });

  test('A9 less than the thinnest ring goes straight on the seat where that is near enough', () => {
    const onSeat = facts(0.004);
    expect(onSeat.stack.best.stack).toEqual([]);
    expect(decide(onSeat).status).toBe('raise');
    expect(codes(onSeat)).toEqual(['low', 'frameOnSeat']);
  });

  test('A9 else it is a mortar pad, for somebody to permit', () => {
    const pad = decide(facts(0.0125));
    expect(pad.status).toBe('review');
    expect(pad.reasons.map((r) => r.code)).toEqual(['mortarPad', 'nearestStack']);
    expect(pad.reasons[0].values).toEqual({ net: 0.0125, thinnest: expect.closeTo(0.025, 12) });
  });

  test('A10 a low rim is raised and a proud one lowered, with a stack that meets the allowance', () => {
    expect(codes(facts(0.055))).toEqual(['low']);
    const proud = facts(0.055, { rim: { centre: 0.02, worst: null, shots: 1 } });
    expect(decide(proud)).toEqual({ status: 'lower', reasons: [{ code: 'proud', values: { by: 0.02 } }] });
  });

  test('a rim that stands out past the shots by more than half its radius is looked at', () => {
    expect(decide(facts(0.055, { overhang: 0.2 }))).toEqual({
      status: 'review',
      reasons: [{ code: 'overhang', values: { by: 0.2 } }],
    });
    expect(decide(facts(0.055, { overhang: 0.1 })).status).toBe('raise');
  });

  test('a rim of unknown height is planned from its seat', () => {
    expect(decide(facts(0.055, { rim: null }))).toEqual({
      status: 'raise',
      reasons: [{ code: 'rimUnknown', values: {} }],
    });
  });

  test('a stack within the tolerance but not with the survey’s share of it says so', () => {
    const close = facts(0.0595, { allowance: 0.0055 });
    expect(decide(close).status).toBe('raise');
    expect(codes(close)).toContain('allowanceNotMet');
  });

  test('a stack that misses by less than a tape shows is taken, and it is said', () => {
    const slight = facts(0.05855, { catalogue: twoSizes, tolerance: 0.006 });
    const { worst } = slight.stack.best.residual;
    const tolerance = worst / 1.01;
    const taken = decide({ ...slight, tolerance });
    expect(taken.status).toBe('raise');
    expect(taken.reasons).toContainEqual({
      code: 'withinSlack',
      values: { tolerance, share: toleranceSlack },
    });
    expect(decide({ ...slight, tolerance: worst / 1.02 }).status).toBe('review');
    expect(codes({ ...slight, tolerance: worst })).not.toContain('withinSlack');
  });

  test('a nearest stack says how far off it is and which way', () => {
    const near = facts(0.0585, { catalogue: twoSizes });
    const { reasons } = decide(near);
    const { worst, centre, tilt } = near.stack.best.residual;
    expect(reasons[1]).toEqual({ code: 'nearestStack', values: { worst, centre, tilt, tolerance: 0.006 } });
  });

  test.each([
    ['tilt', 0.055, { gradient: [0.09, 0] as [number, number] }],
    ['rings', 0.3, { catalogue: metricCatalogue({ maxRings: 2 }) }],
    ['sizes', 0.0585, { catalogue: twoSizes }],
  ])(
    'a target that no stack reaches is looked at, and names %s as what is in the way',
    (limit, buildup, change) => {
      const decision = decide(facts(buildup, change));
      expect(decision.status).toBe('review');
      expect(decision.reasons[0]).toMatchObject({ code: 'unreachable', values: { limit } });
      expect(decision.reasons[1].code).toBe('nearestStack');
    },
  );

  test('B4 a line under the rim is signed by an engineer', () => {
    expect(decide(facts(0.055, { overLine: true }))).toEqual({
      status: 'review',
      reasons: [{ code: 'overLine', values: {} }],
    });
  });

  test('a telescoping top is turned, not stacked, and left where it is right', () => {
    const cover = coverAt({ adjustment: 'telescoping' });
    expect(codes(facts(0.4, { cover }))).toEqual(['low', 'telescoping']);
    expect(codes(facts(0.4, { cover, rim: null }))).toEqual(['rimUnknown', 'telescoping']);
    const right = { centre: 0, worst: 0.001, shots: 3 };
    expect(decide(facts(0.4, { cover, rim: right })).status).toBe('leave');
  });
});
