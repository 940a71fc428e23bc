import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { finishAfter, riseOf, stageElevations, type WorkLeft, workLeft } from '#core/treatment/stages.ts';
import type { PavingTreatment, StageOfWork } from '#core/treatment/types.ts';
import { finishedAt, plane, ringOfShots } from '../../helpers/site.ts';

const treatment: PavingTreatment = {
  millDepth: 0.05,
  millClearance: 0.025,
  maxRiser: 0,
  lifts: [0.06, 0.04],
  setDown: null,
};
const left = (
  stage: StageOfWork['stage'],
  lift: number | null = null,
  change: Partial<PavingTreatment> = {},
) => workLeft({ stage, lift }, { ...treatment, ...change });
const known = (work: ReturnType<typeof workLeft>): WorkLeft => {
  if (typeof work === 'string') throw new Error(work);
  return work;
};

const grade = finishedAt(ringOfShots(plane(0.02, -0.01, 256.48)));
const options = { liftSigma: 0, allowance: true };

describe('the work left after a stage', () => {
  it.each([
    ['existing', null, 0.05],
    ['milled', null, 0.1],
    ['lift', 1, 0.04],
    ['lift', 2, 0],
    ['finished', null, 0],
  ] as const)('%s %s: the finished surface lies %d m higher', (stage, lift, rise) => {
    expect(riseOf(known(left(stage, lift)))).toBeCloseTo(rise, 12);
  });

  it('is unknown where nobody said what is laid, or which lift it was', () => {
    expect(left('existing', null, { lifts: null })).toBe('liftsUnknown');
    expect(left('finished', null, { lifts: null })).toEqual({ mill: 0, lifts: [] });
    expect(left('lift', 3)).toBe('noSuchLift');
    expect(left('lift', null)).toBe('noSuchLift');
    expect(left('lift', null, { lifts: [0.04] })).toEqual({ mill: 0, lifts: [] });
  });
});

describe('the finished grade after a treatment', () => {
  it('is the same plane at another level', () => {
    const after = finishAfter(grade, known(left('existing')), options);
    expect(after).toEqual({ ...grade, elevation: grade.elevation + 0.05 });
  });

  it('is the old surface where as much is laid as was milled', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 10, max: 80 }), { minLength: 1, maxLength: 4 }),
        (millimetres) => {
          const lifts = millimetres.map((each) => each / 1000);
          const millDepth = millimetres.reduce((sum, each) => sum + each, 0) / 1000;
          const after = finishAfter(grade, known(left('existing', null, { lifts, millDepth })), options);
          expect(after.elevation).toBeCloseTo(grade.elevation, 12);
          expect({ ...after, elevation: 0 }).toEqual({ ...grade, elevation: 0 });
        },
      ),
    );
  });

  it('carries the spread of each lift still to be laid, as independent deviations add', () => {
    const treated = (stage: StageOfWork['stage'], lift: number | null, allowance = true) =>
      finishAfter(grade, known(left(stage, lift)), { liftSigma: 0.003, allowance });
    expect(treated('existing', null).sigmaRim).toBeCloseTo(
      Math.sqrt(grade.sigmaRim ** 2 + 2 * 0.003 ** 2),
      12,
    );
    expect(treated('lift', 1).sigmaRim).toBeCloseTo(Math.hypot(grade.sigmaRim, 0.003), 12);
    expect(treated('lift', 2).sigmaRim).toBe(grade.sigmaRim);
    expect(treated('existing', null, false).sigmaRim).toBe(grade.sigmaRim);
  });

  it('comes out the same from whichever stage was measured', () => {
    const old = 256.48;
    const levels = stageElevations(old + 0.05, treatment, 'existing');
    for (const { stage, lift, elevation } of levels)
      expect(elevation + riseOf(known(left(stage, lift)))).toBeCloseTo(old + 0.05, 12);
  });
});

describe('elevations by stage', () => {
  it('go up through the lifts to the finished surface', () => {
    const rounded = stageElevations(256.53, treatment, 'existing').map(({ stage, lift, elevation }) => [
      stage,
      lift,
      Math.round(elevation * 1e6) / 1e6,
    ]);
    expect(rounded).toEqual([
      ['existing', null, 256.48],
      ['milled', null, 256.43],
      ['lift', 1, 256.49],
      ['lift', 2, 256.53],
    ]);
  });

  it('say nothing of what lies under a design', () => {
    const stages = (from: StageOfWork['stage']) =>
      stageElevations(256.53, treatment, from).map(({ stage }) => stage);
    expect(stages('milled')).toEqual(['milled', 'lift', 'lift']);
    expect(stages('finished')).toEqual(['lift', 'lift']);
    expect(stageElevations(256.53, { ...treatment, lifts: null }, 'existing')).toEqual([]);
  });
});
