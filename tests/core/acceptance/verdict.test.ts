import { describe, expect, test } from 'vitest';
import { fourClocks, judgeRim } from '#core/acceptance/rim.ts';
import { accessibleStandard, judgeRoute } from '#core/acceptance/route.ts';
import { judgeStraightedge } from '#core/acceptance/straightedge.ts';
import type { AcceptancePolicy } from '#core/acceptance/types.ts';
import { type Evidence, judgeAcceptance } from '#core/acceptance/verdict.ts';
import { sayAcceptance } from '#core/acceptance/words.ts';
import { stateOfCover, stillCuring } from '#core/field/coverState.ts';
import type { Facts } from '#core/field/facts.ts';
import { judgeVacuum } from '#core/seal/judgeVacuum.ts';
import { keep, keepPlain, make, plain, two } from '../field/records.ts';
import { claremont } from '../seal/tables.ts';

const inch = 0.0254;
const policy: AcceptancePolicy = {
  proud: 0.25 * inch,
  low: 0.25 * inch,
  straightedge: null,
  vacuum: false,
  accessible: accessibleStandard,
};
const strict: AcceptancePolicy = {
  ...policy,
  straightedge: { length: 3, along: 0.003, across: 0.006 },
  vacuum: true,
};
const rimOf = (errors: [number, number, number, number], sigma = 0.0005) =>
  judgeRim(fourClocks(errors), policy, sigma);
const good = rimOf([0.001, 0, -0.001, 0]);
const evidence = (change: Partial<Evidence> = {}): Evidence => ({
  rim: good,
  straightedge: null,
  vacuum: null,
  route: null,
  conflicts: [],
  plates: [],
  curing: [],
  ...change,
});
const edge = (change: Partial<Facts['straightedge']> = {}) =>
  judgeStraightedge(
    { lengthM: 3, along: { gapM: 0.002, proudM: 0 }, across: { gapM: 0.001, proudM: 0 }, ...change },
    strict.straightedge!,
  );
const test10 = (change: Partial<Facts['vacuum']> = {}) =>
  judgeVacuum(claremont, { ...plain.vacuum, startInHg: 10, endInHg: 9.5, seconds: 60, ...change });
const judge = (of: AcceptancePolicy, change: Partial<Evidence> = {}) => {
  const { verdict, reasons } = judgeAcceptance(of, evidence(change));
  return [verdict, ...reasons.map(({ code }) => code)];
};

describe('the verdict on a cover', () => {
  test('accepted by its rim where nothing else is asked', () => {
    expect(judge(policy)).toEqual(['accept', 'rimWithin']);
    expect(judge(policy, { rim: null })).toEqual(['notYet', 'rimNotChecked']);
  });

  test('off grade by rim, straightedge or route', () => {
    expect(judge(policy, { rim: rimOf([0.008, 0.008, 0.008, 0.008]) })).toEqual(['offGrade', 'rimOff']);
    const off = edge({ along: { gapM: 0.004, proudM: 0 } });
    expect(judge(strict, { straightedge: off, vacuum: test10() })).toEqual([
      'offGrade',
      'edgeOff',
      'rimWithin',
      'edgeWithin',
      'vacuumPassed',
    ]);
    const route = (change: object) =>
      judgeRoute(
        { levelChange: 0.001, bevel: null, crossSlope: 0.01, opening: 0, ...change },
        accessibleStandard,
      );
    expect(judge(policy, { route: route({}) })).toEqual([
      'accept',
      'rimWithin',
      'routeStepWithin',
      'routeSlopeWithin',
    ]);
    expect(judge(policy, { route: route({ opening: null }) })).toContain('routeOpenings');
    const wrong: [object, string][] = [
      [{ levelChange: 0.02 }, 'routeStepOff'],
      [{ levelChange: 0.01 }, 'routeNeedsBevel'],
      [{ levelChange: 0.01, bevel: { rise: 0.009, run: 0.01 } }, 'routeBevelSteep'],
      [{ levelChange: 0.01, bevel: { rise: 0.003, run: 0.01 } }, 'routeBevelLow'],
      [{ crossSlope: 0.021 }, 'routeSlopeOff'],
      [{ opening: 0.02 }, 'routeOpeningOff'],
    ];
    for (const [change, code] of wrong)
      expect(judge(policy, { route: route(change) }).slice(0, 2)).toEqual(['offGrade', code]);
    expect(judge(policy, { route: route({ levelChange: null, crossSlope: null }) }).slice(0, 3)).toEqual([
      'notYet',
      'routeStepMissing',
      'routeSlopeMissing',
    ]);
  });

  test('not yet while something that is asked for is missing, failed or curing', () => {
    expect(judge(strict)).toEqual(['notYet', 'edgeNotMeasured', 'vacuumMissing', 'rimWithin']);
    expect(judge(strict, { straightedge: edge({ across: null, lengthM: 2 }), vacuum: test10() })).toEqual([
      'notYet',
      'edgeWayMissing',
      'edgeShort',
      'rimWithin',
      'edgeWithin',
      'vacuumPassed',
    ]);
    expect(judge(strict, { straightedge: edge(), vacuum: test10({ endInHg: 8 }) })).toContain('vacuumFailed');
    const untested = judge(strict, { straightedge: edge(), vacuum: test10({ outcome: 'notTested' }) });
    expect(untested.slice(0, 2)).toEqual(['notYet', 'vacuumNotTested']);
    expect(judge(strict, { straightedge: edge(), vacuum: test10() })[0]).toBe('accept');
    // A leak that was found counts where nobody asked for the test.
    expect(judge(policy, { vacuum: test10({ endInHg: 8 }) }).slice(0, 2)).toEqual(['notYet', 'vacuumFailed']);
    expect(judge(policy, { vacuum: test10({ startInHg: 9 }) })).toEqual(['accept', 'rimWithin']);
  });

  test('a check that is too uncertain is none; one that is a little so is accepted and said', () => {
    expect(judge(policy, { rim: rimOf([0, 0, 0, 0], 0.01) })).toEqual(['notYet', 'rimTooWeak']);
    expect(judge(policy, { rim: rimOf([0.006, 0.006, 0.006, 0.006], 0.001) })).toEqual([
      'accept',
      'rimDoubtful',
    ]);
    expect(judge(policy, { rim: rimOf([0.004, 0, 0, 0]) })).toEqual(['notYet', 'rimUneven', 'rimWithin']);
    const one = judgeRim([{ clock: 12, error: 0 }], policy, 0);
    expect(judge(policy, { rim: one })).toEqual(['notYet', 'rimFewClocks', 'rimWithin']);
  });

  test('a plate, a contradiction or a cure of the records keeps it from being judged', () => {
    const limits = { sent: true, limits: policy };
    const now = '2026-05-05T00:00:00Z';
    const plated = stateOfCover(keepPlain(['plated']), limits);
    expect(judge(policy, { plates: plated.plates, rim: rimOf([0.02, 0, 0, 0]) })[0]).toBe('notYet');
    const blind = {
      ...keep([make('rimChecked', { ...plain.rimChecked, sigmaM: 0 }, { device: two })], 2)[0],
      seen: 0,
    };
    const { conflicts } = stateOfCover([...keepPlain(['rimChecked']), blind as never], limits);
    expect(judge(policy, { conflicts })).toEqual(['notYet', 'conflict', 'rimWithin']);
    const { cures } = stateOfCover(keepPlain(['mortarBed', 'collarPlaced']), limits);
    expect(judge(policy, { curing: stillCuring(cures, now) })).toEqual(['notYet', 'curing', 'rimWithin']);
    expect(judge(policy, { curing: stillCuring(cures, '2026-05-06T00:00:00Z') })[0]).toBe('accept');
    const unknown = { curing: [{ ...cures[1], releaseAt: null }] };
    expect(judgeAcceptance(policy, evidence(unknown)).reasons[0]).toEqual({
      code: 'curing',
      values: { what: 'collar' },
    });
  });
});

describe('its words', () => {
  const inches = { small: 'fractionInches', elevation: 'ft' } as const;
  const metric = { small: 'millimetres', elevation: 'm' } as const;
  const say = (change: Partial<Evidence>, of = policy, units: typeof inches | typeof metric = inches) =>
    judgeAcceptance(of, evidence(change)).reasons.map((reason) => sayAcceptance(reason, units));

  test('name the figure, its side, the clock and the limit in the project’s units', () => {
    const high = rimOf([0.5 * inch, 0.375 * inch, 0.25 * inch, 0.375 * inch]);
    expect(say({ rim: high })[0]).toBe(
      'The rim is 1/2 in proud at 12 o’clock; allowed are 1/4 in proud and 1/4 in low.',
    );
    expect(say({ rim: rimOf([-0.009, -0.008, -0.007, -0.008]) }, policy, metric)[0]).toBe(
      'The rim is 9 mm low at 12 o’clock; allowed are 6 mm proud and 6 mm low.',
    );
    const unknown = judgeAcceptance(policy, evidence({ rim: rimOf([0.009, 0.009, 0, 0]) })).reasons[0];
    expect(sayAcceptance(unknown, metric, { isClock: false })).toMatch(/proud at 45° from grid north;/);
    const east = judgeAcceptance(policy, evidence({ rim: rimOf([0, 0.009, 0.002, -0.005]) })).reasons[0];
    expect(sayAcceptance(east, metric, { isClock: false })).toMatch(/proud at east;/);
    expect(say({ rim: rimOf([0.006, 0.006, 0.006, 0.006], 0.001) }, policy, metric)[0]).toMatch(
      /but with its ±2 mm/,
    );
    expect(say({ straightedge: edge({ along: { gapM: 0.004, proudM: 0.001 } }) }, strict, metric)[0]).toBe(
      'Along the road the straightedge shows a gap of 4 mm and a step of 1 mm; allowed are 3 mm.',
    );
    const route = judgeRoute(
      { levelChange: 0.01, bevel: null, crossSlope: 0.021, opening: null },
      accessibleStandard,
    );
    expect(say({ route })).toEqual([
      'The step at the rim is 3/8 in; past 1/4 in an accessible route needs a bevel no steeper than 50.00 %.',
      'The cross slope is 2.10 %; an accessible route takes 1:48 at most.',
      'The rim is within 1/4 in proud and 1/4 in low all round; 1/16 in proud at 12 o’clock.',
      'No opening in an accessible route may pass a sphere of 1/2 in (13 mm): look at pick holes and gaps.',
    ]);
  });

  test('every reason has a sentence; a code without one is a fault of the program', () => {
    const values = {
      plate: 'P-7',
      step: 'rimChecked',
      count: 2,
      error: 0,
      clock: 0.1,
      allowance: 0,
      proud: 0,
      low: 0,
      misfit: 0,
    };
    const all = {
      ...values,
      wanted: 3,
      way: 'along',
      length: 2,
      gap: 0,
      limit: 0.02,
      vertical: 0,
      bevelled: 0,
      slope: 0,
      rise: 0,
      opening: 0,
      what: 'collar',
    };
    const codes = [
      'plateOpen',
      'conflict',
      'rimNotChecked',
      'rimFewClocks',
      'rimUneven',
      'rimOff',
      'rimTooWeak',
      'rimDoubtful',
      'rimWithin',
      'edgeNotMeasured',
      'edgeWayMissing',
      'edgeShort',
      'edgeOff',
      'edgeWithin',
      'routeStepMissing',
      'routeStepWithin',
      'routeStepOff',
      'routeNeedsBevel',
      'routeBevelSteep',
      'routeBevelLow',
      'edgeAfloat',
      'routeSlopeMissing',
      'routeSlopeWithin',
      'routeSlopeOff',
      'routeOpeningOff',
      'routeOpenings',
      'vacuumMissing',
      'vacuumFailed',
      'vacuumNotTested',
      'vacuumPassed',
      'curing',
    ];
    for (const code of codes) expect(sayAcceptance({ code, values: all }, metric)).toMatch(/^[A-Z].*\.$/);
    expect(
      sayAcceptance(
        { code: 'curing', values: { what: 'mortar', until: '2026-05-05T22:00:00.000Z' } },
        metric,
      ),
    ).toBe('The mortar bed cures until 2026-05-05 22:00 UTC.');
    expect(() => sayAcceptance({ code: 'gone', values: {} }, metric)).toThrow(RangeError);
  });
});
