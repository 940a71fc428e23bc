import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sayReason } from '#core/decision/words.ts';
import { prepareSurvey } from '#core/plan/plan.ts';
import { planInProject, prepareProject } from '#core/plan/planInProject.ts';
import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import { faceSource, type Source, shotSource } from '#core/plan/sources.ts';
import type { Cover } from '#core/plan/types.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { defaultDesignLimits, layOutDesign } from '#core/surface/design.ts';
import { layOutSurvey } from '#core/surface/survey.ts';
import type { Shot } from '#core/surface/types.ts';
import type { PavingTreatment, StageOfWork, TreatmentZone } from '#core/treatment/types.ts';
import { layOutZones } from '#core/treatment/zones.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';
import { coverAt, named, plane, ringOfShots } from '../../helpers/site.ts';

const units = { small: 'millimetres', elevation: 'm' } as const;
const basePolicy: Policy = { ...defaultPolicy, tolerance: 0.006, shotSigma: 0.002 };
const solver = makeSolver(metricCatalogue());

const name = (id: string, stage: StageOfWork['stage'], dated = '2026-05-01', lift: number | null = null) => ({
  ids: [id],
  name: id,
  stage,
  lift,
  dated,
});

function shots(
  id: string,
  stage: StageOfWork['stage'],
  level: number | readonly Shot[],
  { dated, lift, policy = basePolicy }: { dated?: string; lift?: number; policy?: Policy } = {},
): Source {
  const list = typeof level === 'number' ? ringOfShots(plane(0.01, -0.005, level)) : level;
  const survey = prepareSurvey(named(list), [coverAt()], { policy, name: id });
  return shotSource(name(id, stage, dated, lift ?? null), survey, policy);
}

function faces(id: string, level: number, { at = 0, dated = '2026-05-01' } = {}): Source {
  const points = [
    [at - 20, -20],
    [at + 20, -20],
    [at + 20, 20],
    [at - 20, 20],
  ].flatMap(([e, n]) => [e, n, level]);
  const design = layOutDesign({ name: id, points, faces: [0, 1, 2, 0, 2, 3] }, 1);
  const noShots = layOutSurvey([], '', basePolicy.shotSigma);
  return faceSource(name(id, 'finished', dated), design, { noShots, limits: defaultDesignLimits });
}

const paving = (change: Partial<PavingTreatment> = {}): PavingTreatment => ({
  millDepth: 0.04,
  millClearance: 0.02,
  maxRiser: 0,
  lifts: [0.05],
  setDown: null,
  ...change,
});

interface Setting {
  policy?: Partial<Policy>;
  everywhere?: PavingTreatment | null;
  zones?: TreatmentZone[];
  cover?: Partial<Cover>;
}

function plan(sources: Source[], { policy = {}, everywhere = null, zones = [], cover = {} }: Setting = {}) {
  const context = prepareProject(sources, {
    treatment: { everywhere, zones: layOutZones(zones) },
    solver,
    policy: { ...basePolicy, ...policy },
  });
  const planned = planInProject(coverAt(cover), context);
  // Whatever is emitted has words, and figures for all of them.
  for (const each of planned.reasons) expect(sayReason(each, units)).not.toMatch(/undefined|NaN|null/);
  return planned;
}

const codes = ({ reasons }: { reasons: { code: string }[] }) => reasons.map(({ code }) => code);

describe('the surface that a plan is made from', () => {
  const survey = shots('after paving', 'finished', 100.01);
  const design = faces('design', 100.02);
  const old = shots('before', 'existing', 100);

  it('is the survey of the finished one, then a design, then the old one with its treatment', () => {
    const from = (sources: Source[], setting: Setting = {}) => {
      const { finished, source } = plan(sources, { everywhere: paving(), ...setting });
      return [source?.from, finished?.surface, finished && Math.round(finished.elevation * 1e4) / 1e4];
    };
    expect(from([old, design, survey])).toEqual(['survey', 'after paving', 100.01]);
    expect(from([design, old])).toEqual(['design', 'design', 100.02]);
    expect(from([old])).toEqual(['treatment', 'before', 100.01]);
    expect(from([survey, design, old], { policy: { finishedFrom: 'design' } })).toEqual([
      'design',
      'design',
      100.02,
    ]);
    expect(from([survey, design, old], { policy: { finishedFrom: 'treatment' } })).toEqual([
      'treatment',
      'before',
      100.01,
    ]);
  });

  it('does not depend on the order in which surfaces are given', () => {
    const all = [old, design, survey, shots('milled', 'milled', 99.96)];
    fc.assert(
      fc.property(fc.shuffledSubarray(all, { minLength: 1 }), (some) => {
        const inOrder = all.filter((each) => some.includes(each));
        expect(plan(some, { everywhere: paving() })).toEqual(plan(inOrder, { everywhere: paving() }));
      }),
    );
  });

  it('is the newest design of those that reach the cover', () => {
    const older = faces('issue A', 100.1, { dated: '2026-01-10' });
    const newer = faces('issue B', 100.2, { dated: '2026-03-01' });
    const elsewhere = faces('issue C', 100.3, { at: 500, dated: '2026-06-01' });
    expect(plan([older, newer, elsewhere]).finished).toMatchObject({ surface: 'issue B', elevation: 100.2 });
    expect(plan([older, elsewhere]).finished?.surface).toBe('issue A');
    expect(plan([elsewhere])).toMatchObject({ status: 'unsurveyed', finished: null });
  });

  it('is farther on in the work before it is newer', () => {
    const milled = shots('milled', 'milled', 99.96, { dated: '2026-05-02' });
    const resurvey = shots('resurvey', 'existing', 100.004, { dated: '2026-05-03' });
    expect(plan([old, resurvey, milled], { everywhere: paving() })).toMatchObject({
      source: { surfaces: ['milled'], stage: 'milled' },
      finished: { elevation: expect.closeTo(100.01, 9) },
    });
    expect(plan([old, resurvey], { everywhere: paving() }).source?.surfaces).toEqual(['resurvey']);
  });

  it('of two stages is never a mixture: with shots of both on the ground, the plan is that of one alone', () => {
    const both = plan([survey, shots('other', 'existing', 107)], { everywhere: paving() });
    expect(both).toEqual(plan([survey], { everywhere: paving() }));
  });

  it('is the top of the upper lift before that of a lower one, a lift before the milled road and that before the old', () => {
    const of = (id: string, stage: StageOfWork['stage'], lift?: number) => shots(id, stage, 100, { lift });
    const sources = [
      of('old', 'existing'),
      of('first', 'lift', 1),
      of('some', 'lift'),
      of('milled', 'milled'),
      of('second', 'lift', 2),
    ];
    const everywhere = paving({ lifts: [0.05, 0.04] });
    const asked = prepareProject(sources, {
      treatment: { everywhere, zones: [] },
      solver,
      policy: basePolicy,
    }).ordered;
    expect(asked.map((source) => source.name)).toEqual(['second', 'first', 'some', 'milled', 'old']);
  });

  it('of one day goes by name, in whatever order they are given', () => {
    const [a, b] = [shots('a', 'finished', 100), shots('b', 'finished', 101)];
    const later = shots('c', 'finished', 102, { dated: '2026-06-01' });
    for (const sources of [
      [a, b, later],
      [later, b, a],
      [b, later, a],
    ]) {
      const context = prepareProject(sources, {
        treatment: { everywhere: null, zones: [] },
        solver,
        policy: basePolicy,
      });
      expect(context.ordered.map((source) => source.name)).toEqual(['c', 'a', 'b']);
    }
  });

  it('that reaches nothing says how near the nearest came, whichever was asked first', () => {
    const away = (id: string, by: number, dated: string) =>
      shots(id, 'finished', ringOfShots(plane(0, 0, 100), { centre: [by, 0] }), { dated });
    const [near, far] = [away('near', 9, '2026-05-01'), away('far', 12, '2026-06-01')];
    const none = shots('none', 'finished', [], { dated: '2026-07-01' });
    const faraway = faces('design', 100, { at: 500 });
    for (const sources of [
      [near, far, none],
      [faraway, far, near],
      [none, near, far],
    ]) {
      const [first] = plan(sources).reasons;
      expect(first).toMatchObject({ code: 'noShots', values: { nearest: expect.closeTo(7, 0) } });
    }
    expect(plan([{ ...near, dated: '2026-08-01' }, far]).reasons[0].values.nearest).toBeCloseTo(7, 0);
    expect(codes(plan([faraway]))).toEqual(['noDesign']);
  });

  it('that reaches the cover and gives no answer is not replaced by another', () => {
    const [first, second] = ringOfShots(plane(0, 0, 100), { count: 2 });
    const thin = shots('thin', 'finished', [first, second]);
    expect(plan([thin, design])).toMatchObject({ status: 'unsurveyed' });
    expect(codes(plan([thin, design]))).toEqual(['tooFewShots']);
  });

  it('that is not there leaves the cover unsurveyed, with that reason in words', () => {
    const said = (sources: Source[], setting: Setting) =>
      plan(sources, setting).reasons.map((each) => sayReason(each, units));
    expect(said([old], {})).toEqual([
      'There is no surface to plan from: no shots on the finished surface, no design surface, and no survey with a treatment.',
    ]);
    expect(said([old], { policy: { finishedFrom: 'treatment' } })).toEqual([
      'before was measured on the existing surface, and what is laid on it is not known.',
    ]);
    expect(said([survey], { policy: { finishedFrom: 'design' } })).toEqual([
      'There is no surface to plan from: no design surface.',
    ]);
  });
});

describe('existing surface and treatment', () => {
  it('lower; mill, in mm (worked by hand): frame on its seat, rim 256.390, 15 mm to spare', () => {
    const level = ringOfShots(plane(0, 0, 256.48));
    const cover = { rimElevation: 256.48, seatElevation: 256.21, frameHeight: 0.18 };
    const everywhere = paving({ millDepth: 0.05, millClearance: 0.025, lifts: [0.05] });
    const planned = plan([shots('before', 'existing', level)], { everywhere, cover });
    expect(planned.status).toBe('lower');
    expect(planned.finished?.elevation).toBeCloseTo(256.48, 9);
    const mill = planned.reasons.find(({ code }) => code === 'millFrameOnSeat')!;
    expect(mill.values.drop).toBeCloseTo(0.075, 9);
    expect(mill.values.buildup).toBeCloseTo(0.09, 9);
    expect(mill.values.spare).toBeCloseTo(0.015, 9);
    expect(cover.seatElevation + cover.frameHeight).toBeCloseTo(256.39, 9);
  });

  it('a treatment that lays as much as it mills plans as if nothing were done, but for the mill itself', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 20, max: 60 }), { minLength: 1, maxLength: 3 }),
        (millimetres) => {
          const lifts = millimetres.map((each) => each / 1000);
          const millDepth = millimetres.reduce((sum, each) => sum + each, 0) / 1000;
          // The mill's own decision is tested elsewhere; a rim without elevation gives it nothing to say.
          const cover = { rimElevation: null };
          const everywhere = paving({ millDepth, lifts });
          const treated = plan([shots('s', 'existing', 100)], { everywhere, cover });
          const plain = plan([shots('s', 'finished', 100)], { cover });
          expect(treated.status).toBe(plain.status);
          expect(treated.stack).toEqual(plain.stack);
          expect(treated.netBuildup).toBeCloseTo(plain.netBuildup!, 12);
          expect(treated.finished).toEqual({
            ...plain.finished,
            elevation: expect.closeTo(plain.finished!.elevation, 12),
          });
        },
      ),
      { numRuns: 25 },
    );
  });

  it('raises net buildup by just what the treatment adds', () => {
    const buildup = (lifts: number[]) =>
      plan([shots('s', 'existing', 100)], { everywhere: paving({ millDepth: 0, lifts }) }).netBuildup!;
    expect(buildup([0.04, 0.05]) - buildup([])).toBeCloseTo(0.09, 12);
  });

  it('counts the spread of the lifts only where the policy says so, and says which', () => {
    const old = () => shots('s', 'existing', 100);
    const everywhere = paving({ lifts: [0.03, 0.03] });
    const [plain, spread] = [0, 0.003].map((liftSigma) =>
      plan([old()], { everywhere, policy: { liftSigma } }),
    );
    expect(spread.finished!.sigmaRim).toBeCloseTo(
      Math.hypot(plain.finished!.sigmaRim, 0.003 * Math.SQRT2),
      12,
    );
    expect(spread.status).toBe('remeasure');
    const said = plain.reasons.find(({ code }) => code === 'fromTreatment')!;
    expect(sayReason(said, units)).toBe(
      'Finished surface: s (existing), less 40 mm milled, plus 60 mm in 2 lifts. That the lifts come out as thick as planned is not counted in its allowance.',
    );
  });

  it('gives the level to raise to at each lift', () => {
    const everywhere = paving({ millDepth: 0.04, lifts: [0.06, 0.04] });
    const { stageElevations } = plan([shots('s', 'existing', 100)], { everywhere });
    expect(stageElevations!.map(({ stage, lift }) => [stage, lift])).toEqual([
      ['existing', null],
      ['milled', null],
      ['lift', 1],
      ['lift', 2],
    ]);
    stageElevations!.forEach(({ elevation }, i) => {
      expect(elevation).toBeCloseTo([100, 99.96, 100.02, 100.06][i], 9);
    });
  });

  it('may start from triangles of the old surface as from shots', () => {
    const old = { ...faces('scan', 100), stage: 'existing' as const };
    expect(plan([old], { everywhere: paving({ millDepth: 0.04, lifts: [0.06] }) })).toMatchObject({
      source: { from: 'treatment', surfaces: ['scan'], stage: 'existing' },
      finished: { elevation: expect.closeTo(100.02, 9), method: 'design' },
    });
  });

  it('is refused where the surface is the top of a lift that the treatment does not have', () => {
    const second = shots('second lift', 'lift', 100, { lift: 2 });
    expect(plan([second], { everywhere: paving({ lifts: [0.05] }) })).toMatchObject({
      status: 'unsurveyed',
      reasons: [{ code: 'noSuchLift', values: { surface: 'second lift', lift: 2 } }],
    });
    expect(
      plan([shots('some lift', 'lift', 100)], { everywhere: paving({ lifts: [0.05, 0.03] }) }),
    ).toMatchObject({
      reasons: [{ code: 'noSuchLift', values: { surface: 'some lift', lift: 0 } }],
    });
    expect(
      plan([second], { everywhere: paving({ lifts: null }), policy: { finishedFrom: 'treatment' } }).reasons,
    ).toMatchObject([{ code: 'noTreatment', values: { surface: 'second lift' } }]);
    expect(plan([second], { everywhere: paving({ lifts: [0.05, 0.03, 0.02] }) })).toMatchObject({
      finished: { elevation: expect.closeTo(100.02, 9) },
      source: { stage: 'lift', lift: 2 },
    });
  });

  it('sets the rim down as the zone asks, unless the cover asks for its own', () => {
    const old = shots('s', 'existing', 100);
    const everywhere = paving({ setDown: 0.003 });
    const own = plan([old], { everywhere, cover: { setDown: 0.005 } });
    const zoned = plan([old], { everywhere });
    const none = plan([old], { everywhere: paving() });
    expect(none.netBuildup! - zoned.netBuildup!).toBeCloseTo(0.003, 12);
    expect(none.netBuildup! - own.netBuildup!).toBeCloseTo(0.005, 12);
    expect(codes(zoned)).toContain('setDown');
    expect(codes(own)).not.toContain('setDown');
  });
});

describe('treatment zones', () => {
  const zone = (
    id: string,
    west: number,
    east: number,
    change: Partial<TreatmentZone> = {},
  ): TreatmentZone => ({
    ...paving(),
    lifts: [0.05],
    id,
    name: id,
    polygons: [
      [
        [
          [west, -50],
          [east, -50],
          [east, 50],
          [west, 50],
          [west, -50],
        ],
      ],
    ],
    ...change,
  });
  const old = () => shots('before', 'existing', 100);

  it('give each cover the treatment of its own', () => {
    const zones = [zone('thin', -50, -1), zone('thick', -1, 50, { lifts: [0.08] })];
    expect(plan([old()], { zones })).toMatchObject({
      source: { zone: 'thick' },
      finished: { elevation: expect.closeTo(100.04, 9) },
    });
  });

  it('that overlap leave it unsurveyed, and a design there up for review', () => {
    const zones = [zone('a', -50, 50), zone('b', -5, 50, { millDepth: 0.06 })];
    expect(plan([old()], { zones })).toMatchObject({
      status: 'unsurveyed',
      reasons: [{ code: 'zonesOverlap' }],
    });
    const designed = plan([faces('design', 100)], { zones });
    expect(designed.status).toBe('review');
    expect(codes(designed)).toContain('zonesOverlap');
  });

  it('that do not reach it leave it unsurveyed, and a design there as it is', () => {
    const zones = [zone('a', 10, 50)];
    expect(plan([old()], { zones })).toMatchObject({
      status: 'unsurveyed',
      reasons: [{ code: 'outsideZones', values: { nearest: 10 } }],
    });
    expect(plan([faces('design', 100)], { zones }).status).toBe('raise');
  });

  it('end the milling and not the leave to set risers', () => {
    const raised = { rimElevation: 99.96 };
    const everywhere = paving({ millDepth: 0.3, maxRiser: 0.075 });
    const planned = plan([faces('design', 100)], { zones: [zone('a', 10, 50)], everywhere, cover: raised });
    expect(planned.status).toBe('raise');
    expect(codes(planned)).toContain('riser');
  });

  it('whose edge runs under the rim leave it up for review, with the deepest mill', () => {
    const zones = [zone('shallow', -50, 0.1), zone('deep', 0.1, 50, { millDepth: 0.3 })];
    const planned = plan([old()], { zones });
    expect(planned).toMatchObject({ status: 'review', source: { zone: 'shallow' } });
    expect(codes(planned)).toEqual(expect.arrayContaining(['zoneEdge', 'millMillRound', 'fromTreatment']));
    const back = plan([old()], {
      zones: [zone('deep', -50, 0.1, { millDepth: 0.3 }), zone('none', 0.1, 50, { millDepth: 0 })],
    });
    expect(codes(back)).toEqual(expect.arrayContaining(['zoneEdge', 'millMillRound']));
    const out = plan([old()], { zones: [zone('east', 0.1, 50, { millDepth: 0.3 })] });
    expect(codes(out)).toEqual(['outsideZones', 'zoneEdge']);
  });
});

describe('rim shots', () => {
  it('of the newest survey that has any say where the rim is, whatever surface is planned from', () => {
    const rim = (level: number) => ringOfShots(plane(0, 0, level), { count: 3, radius: 0.3, role: 'rim' });
    const before = shots('before', 'existing', [...ringOfShots(plane(0, 0, 100)), ...rim(99.95)]);
    const later = shots('later', 'milled', [...ringOfShots(plane(0, 0, 99.9)), ...rim(99.9)], {
      dated: '2026-06-01',
    });
    const planned = plan([before, later, faces('design', 100)]);
    expect(planned.rimError).toBeCloseTo(-0.1, 9);
    expect(plan([later, before, faces('design', 100)]).rimError).toBeCloseTo(-0.1, 9);
    expect(plan([before, faces('design', 100)]).rimError).toBeCloseTo(-0.05, 9);
    // Of one day the first named counts.
    const sameDay = { ...later, dated: before.dated };
    expect(plan([before, sameDay, faces('design', 100)]).rimError).toBeCloseTo(-0.05, 9);
  });
});
