import { describe, expect, test } from 'vitest';
import { noTreatment, type PlanContext, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import type { Cover, Treatment } from '#core/plan/types.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import { finishedFromRoad } from '#core/surface/fromRoad.ts';
import type { Shot } from '#core/surface/types.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';
import { coverAt, crowned, named, plane, ringOfShots, shot, withNoise } from '../../helpers/site.ts';

const surface = plane(0.01, 0.005);
const around = ringOfShots(surface, { count: 8 });

interface Case {
  cover?: Partial<Cover>;
  shots?: readonly Shot[];
  policy?: Partial<Policy>;
  treatment?: Partial<Treatment>;
  catalogue?: RingCatalogue;
  finishedAt?: PlanContext['finishedAt'];
}

function plan({ cover = {}, shots = around, policy = {}, treatment = {}, catalogue, finishedAt }: Case = {}) {
  const full = { ...defaultPolicy, tolerance: 0.006, shotSigma: 0.002, ...policy };
  const one = coverAt(cover);
  return planCover(one, {
    survey: prepareSurvey(named(shots), [one], { policy: full, name: 'site' }),
    solver: makeSolver(catalogue ?? metricCatalogue()),
    policy: full,
    treatment: { ...noTreatment, ...treatment },
    ...(finishedAt && { finishedAt }),
  });
}

const codes = (p: ReturnType<typeof plan>) => p.reasons.map((r) => r.code);
const state = (change: Partial<Cover['condition']>): Partial<Cover> => ({
  condition: { located: null, chimneyUnsound: null, frameUnsound: null, ...change },
});

describe('the plan of a cover', () => {
  test('raises a low rim with a stack whose worst error and two sigmas are within the tolerance', () => {
    const raised = plan();
    expect(raised.status).toBe('raise');
    expect(codes(raised)).toEqual(['low']);
    expect(raised.allowance).toBe('met');
    expect(raised.residual!.worst + 2 * raised.finished!.sigmaRim).toBeLessThanOrEqual(0.006);
    expect(raised.netBuildup).toBeCloseTo(0.3 - 0.18 * Math.hypot(1, 0.01, 0.005), 6);
    expect(raised.rimError).toBeCloseTo(-0.06, 6);
    expect(raised.runnerUp!.stack).not.toEqual(raised.stack);
    expect(['met', 'notMet']).toContain(raised.runnerUp!.allowance);
  });

  test('the set-down lowers the target, not the finished grade', () => {
    const down = plan({ cover: { setDown: 0.006 } });
    expect(down.finished!.elevation).toBeCloseTo(100, 6);
    expect(down.netBuildup).toBeCloseTo(plan().netBuildup! - 0.006, 9);
    expect(down.rimError).toBeCloseTo(-0.054, 6);
  });

  test('the thick side of a marked ring is counted from up-station, or from north', () => {
    const at = (indexFrom: 'road' | 'north') => {
      const catalogue = metricCatalogue({ indexPositions: 8, indexFrom });
      const tilted = ringOfShots(plane(0.02, 0.015), { count: 8 });
      const { stack } = plan({
        cover: { roadBearing: 0.3 },
        shots: tilted,
        catalogue,
        policy: { objective: 'closest' },
      });
      return stack.flatMap((s) => (s.azimuth === null ? [] : [s.azimuth]));
    };
    const offMarks = (azimuth: number, from: number) => {
      const marks = (azimuth - from) / (Math.PI / 4);
      return Math.abs(marks - Math.round(marks));
    };
    for (const azimuth of at('road')) expect(offMarks(azimuth, 0.3)).toBeLessThan(1e-9);
    for (const azimuth of at('north')) expect(offMarks(azimuth, 0)).toBeLessThan(1e-9);
    expect(at('road').length * at('north').length).toBeGreaterThan(0);
  });

  test('marks that count from up-station need to know where that is, once a tapered ring is to be turned', () => {
    const catalogue = metricCatalogue({ indexPositions: 8, indexFrom: 'road' });
    const shots = ringOfShots(plane(0.02, 0.015), { count: 8 });
    const blind = plan({ cover: { roadBearing: null }, shots, catalogue });
    expect(blind).toMatchObject({ status: 'review', stack: [], residual: null, runnerUp: null });
    expect(codes(blind)[0]).toBe('bearingUnknown');
    expect(plan({ cover: { roadBearing: null }, shots }).status).toBe('raise');
    const flat = { ...catalogue, rings: catalogue.rings.filter((r) => r.thin === r.thick) };
    expect(codes(plan({ cover: { roadBearing: null }, shots, catalogue: flat }))).not.toContain(
      'bearingUnknown',
    );
    const rebuilt = plan({
      cover: { roadBearing: null, ...state({ chimneyUnsound: true }) },
      shots,
      catalogue,
    });
    expect(rebuilt.status).toBe('rebuild');
  });

  test('with a shot sigma of 0 the allowance is off, and so is remeasuring', () => {
    const rough = withNoise(around, 0.02, 4);
    const off = plan({ shots: rough, policy: { shotSigma: 0 } });
    expect(off.allowance).toBe('off');
    expect(off.status).not.toBe('remeasure');
    expect(off.finished).toMatchObject({ sigma: 0, sigmaRim: 0 });
    expect(off.runnerUp!.allowance).toBe('off');
  });

  test('from shots of 20 mm nothing is cut: measure again', () => {
    const again = plan({ shots: withNoise(around, 0.02, 4), policy: { shotSigma: 0.02 } });
    expect(again).toMatchObject({ status: 'remeasure', stack: [], residual: null, runnerUp: null });
    expect(again.finished).not.toBeNull();
    expect(again.reasons[0]).toMatchObject({
      code: 'surveyTooWeak',
      values: { shots: again.finished!.shotsUsed, sigma: 0.02, reach: again.finished!.reach },
    });
  });

  test('a sigma that the shots recorded is used where no other is given', () => {
    const weak = around.map((s) => ({ ...s, sigma: 0.02 }));
    const again = plan({ shots: weak, policy: { shotSigma: null } });
    expect(again.status).toBe('remeasure');
    expect(again.reasons[0].values).not.toHaveProperty('sigma');
    const good = around.map((s) => ({ ...s, sigma: 0.001 }));
    const planned = plan({ shots: good, policy: { shotSigma: null } });
    expect(planned.status).toBe('raise');
    expect(codes(planned)).not.toContain('assumedSigma');
  });

  test('an assumed sigma is said to be assumed', () => {
    const few = ringOfShots(surface, { count: 5 });
    expect(codes(plan({ shots: few, policy: { shotSigma: null, tolerance: 0.012 } }))).toContain(
      'assumedSigma',
    );
  });

  test('where no stack meets the allowance the nearest is kept and marked', () => {
    const catalogue = metricCatalogue();
    catalogue.rings = catalogue.rings.filter((r) => r.thin === r.thick);
    const tilted = ringOfShots(plane(0.013, 0), { count: 8 });
    const marked = plan({ shots: tilted, catalogue });
    expect(marked).toMatchObject({ status: 'raise', allowance: 'notMet' });
    expect(codes(marked)).toContain('allowanceNotMet');
  });

  test('without a surface it is unsurveyed, for the reason the shots give', () => {
    const none = plan({ shots: [] });
    expect(none).toMatchObject({
      status: 'unsurveyed',
      finished: null,
      netBuildup: null,
      stack: [],
      residual: null,
    });
    expect(none.reasons).toEqual([{ code: 'noShots', values: { limit: 6 } }]);
    expect(none.allowance).toBe('notMet');
    expect(plan({ shots: [], policy: { shotSigma: 0 } }).allowance).toBe('off');
    const lost = plan({ shots: [], cover: state({ located: false }) });
    expect(codes(lost)).toEqual(['noShots', 'notLocated']);
  });

  test('a surface too steep to be believed is looked at before anything is cut', () => {
    const steep = plan({ shots: ringOfShots(plane(0.3, 0), { count: 8 }) });
    expect(steep).toMatchObject({ status: 'review', stack: [], residual: null });
    expect(codes(steep)).toEqual(['steep']);
  });

  test('a broken chimney or frame is said even where the survey is too weak to cut from', () => {
    const weak = { shots: withNoise(around, 0.02, 4), policy: { shotSigma: 0.02 } };
    const broken = plan({ ...weak, cover: state({ chimneyUnsound: true }) });
    expect(broken).toMatchObject({ status: 'rebuild', stack: [], residual: null });
    expect(codes(broken).slice(0, 2)).toEqual(['chimneyUnsound', 'surveyTooWeak']);
    expect(plan({ ...weak, cover: state({ frameUnsound: true }) }).status).toBe('review');
    expect(plan({ ...weak, cover: state({ located: false }) }).status).toBe('review');
  });

  test('a cover that was not found gets no stack', () => {
    expect(plan({ cover: state({ located: false }) })).toMatchObject({
      status: 'review',
      stack: [],
      residual: null,
    });
  });

  test('a telescoping top gets no stack, whatever the mill does', () => {
    const valve = plan({ cover: { adjustment: 'telescoping' }, treatment: { millDepth: 0.05 } });
    expect(valve).toMatchObject({ status: 'raise', stack: [], residual: null, allowance: 'met' });
    expect(plan({ cover: { adjustment: 'telescoping' }, policy: { shotSigma: 0 } }).allowance).toBe('off');
  });

  test('before milling a rim in the way is lowered first, and the raise after it is still planned', () => {
    const milled = plan({ treatment: { millDepth: 0.04, millClearance: 0.005 } });
    expect(milled.status).toBe('lower');
    expect(codes(milled)).toEqual(['millFrameOnSeat', 'low']);
    expect(milled.stack.length).toBeGreaterThan(0);
    expect(codes(plan({ treatment: { millDepth: 0.01 } }))).toContain('millShorten');
    expect(codes(plan({ treatment: { millDepth: 0.09 } }))).toContain('millMillRound');
    expect(codes(plan({ cover: { rimElevation: null }, treatment: { millDepth: 0.03 } }))).toEqual([
      'rimUnknown',
    ]);
  });

  test('what has to be rebuilt anyway stays to be rebuilt before the mill', () => {
    const broken = plan({ cover: state({ chimneyUnsound: true }), treatment: { millDepth: 0.03 } });
    expect(broken.status).toBe('rebuild');
    expect(codes(broken).slice(0, 2)).toEqual([expect.stringMatching(/^mill/), 'chimneyUnsound']);
  });

  test('what the mill takes down first needs no straightedge, and is not left', () => {
    const flush = { rimElevation: 100 };
    expect(plan({ cover: flush }).status).toBe('review');
    const milled = plan({ cover: flush, treatment: { millDepth: 0.03 } });
    expect(milled.status).toBe('lower');
    expect(codes(milled)).not.toContain('askStraightedge');
    const rim = ringOfShots(surface, { count: 4, radius: 0.33, role: 'rim' });
    expect(plan({ cover: flush, shots: [...around, ...rim] }).status).toBe('leave');
    expect(plan({ cover: flush, shots: [...around, ...rim], treatment: { millDepth: 0.03 } }).status).toBe(
      'lower',
    );
  });

  test('a small raise may do with a riser in the frame where the project allows one', () => {
    expect(codes(plan({ treatment: { maxRiser: 0.075 } }))).toEqual(['low', 'riser']);
    expect(codes(plan({ treatment: { maxRiser: 0.05 } }))).toEqual(['low']);
    expect(codes(plan({ cover: { rimElevation: null }, treatment: { maxRiser: 0.075 } }))).toEqual([
      'rimUnknown',
    ]);
  });

  test('a finished grade from elsewhere takes the place of the survey', () => {
    const road = {
      elevation: 100.02,
      grade: 0.01,
      crossSlope: 0,
      bearing: 0,
      sigma: 0,
      sigmaSlope: 0,
      source: 'plan',
    };
    const given = plan({ shots: [], finishedAt: ({ rimRadius }) => finishedFromRoad(road, rimRadius) });
    expect(given.status).toBe('raise');
    expect(given.finished!.method).toBe('gradeAndCrossSlope');
    const failed = plan({ finishedAt: () => ({ reason: 'noDesign', detail: 'outside the surface' }) });
    expect(failed.reasons).toEqual([{ code: 'noDesign', values: { detail: 'outside the surface' } }]);
  });
});

describe('what a plan says of the surface under it', () => {
  const line = (at: number) =>
    [-20, -10, 0, 10, 20].map((n) => shot(at, n, crowned(at)(at, n), { role: 'crown', code: 'CL' }));
  const sides = (at: number) => ringOfShots(crowned(at), { count: 12, radius: 1.9 });

  test('names the crown whose side it took, or found', () => {
    const [own] = plan({ shots: [...line(1), ...sides(1)] }).reasons.slice(-1);
    expect(own).toMatchObject({ code: 'ownSide', values: { line: 'crown' } });
    const grid = [-4, -2, 2, 4].flatMap((e) => [-6, 0, 6].map((n) => shot(e, n, crowned(1)(e, n))));
    expect(codes(plan({ shots: withNoise([...sides(1), ...grid], 0.002, 3) }))).toContain('foundSide');
  });

  test('a crown under the rim is reviewed with the best compromise and its misfit', () => {
    const over = plan({ shots: [...line(0.15), ...sides(0.15)] });
    expect(over.status).toBe('review');
    expect(codes(over)).toEqual(['overLine', 'compromise']);
    expect(over.reasons[1].values.misfit).toBeCloseTo(0.0026, 4);
  });

  test('it is reviewed too where only one side of it was shot, and no compromise can be made', () => {
    const oneSide = ringOfShots(crowned(0.25), { count: 14, radius: 1.9 }).filter((s) => s.east < 0.25);
    const over = plan({ shots: [...line(0.25), ...oneSide] });
    expect(over.status).toBe('review');
    expect(codes(over)[0]).toBe('overLine');
  });

  test('names the shots it left out, and how far off the worst was', () => {
    const bust = withNoise(around, 0.002, 9).map((s, i) =>
      i === 3 ? { ...s, elevation: s.elevation - 0.2 } : s,
    );
    const said = plan({ shots: bust }).reasons.find((r) => r.code === 'leftOut')!;
    expect(said.values).toMatchObject({ count: 1, points: 'P4' });
    expect(said.values.worst).toBeCloseTo(0.2, 1);
    expect(said.values.off).toBeCloseTo(-0.2, 1);
  });

  test.each([1, -1])('is reviewed where half the shots near it were lifted alike, by %i x 60 mm', (way) => {
    const twice = withNoise(ringOfShots(surface, { count: 12 }), 0.002, 9);
    const lifted = twice.map((s, i) => (i % 2 === 0 ? s : { ...s, elevation: s.elevation + way * 0.06 }));
    const split = plan({ shots: lifted });
    expect(split.status).toBe('review');
    expect(codes(split)[0]).toBe('shotsShifted');
    expect(split.reasons[0].values.by).toBeCloseTo(0.06, 2);
    expect(plan({ shots: twice }).status).toBe('raise');
  });

  test('is reviewed where a third of the shots near it fit nothing', () => {
    const off = [0.08, 0, 0, -0.12, 0, 0];
    const shots = withNoise(ringOfShots(surface, { count: 6 }), 0.001, 9);
    const split = plan({ shots: shots.map((s, i) => ({ ...s, elevation: s.elevation + off[i] })) });
    expect(split.status).toBe('review');
    expect(codes(split)[0]).toBe('shotsDisagree');
    expect(split.reasons[0].values).toMatchObject({ count: 2, near: 6 });
  });

  test('says when the shots scatter far more than they claim', () => {
    const rough = ringOfShots(surface, { count: 12 }).map((s, i) => ({
      ...s,
      elevation: s.elevation + (i % 2 === 0 ? 0.003 : -0.003),
    }));
    const said = plan({ shots: rough, policy: { shotSigma: 0.0012, tolerance: 0.05 } });
    expect(codes(said)).toContain('scatter');
  });
});
