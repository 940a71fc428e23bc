import { describe, expect, it } from 'vitest';
import { prepareSurvey } from '#core/plan/plan.ts';
import { planInProject, prepareProject } from '#core/plan/planInProject.ts';
import { defaultPolicy } from '#core/plan/policy.ts';
import { shotSource } from '#core/plan/sources.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import type { PavingTreatment } from '#core/treatment/types.ts';
import { makeCorridor } from '../../helpers/corridor.ts';
import { planCorridor } from '../../helpers/score.ts';

describe('a whole corridor', () => {
  const corridor = makeCorridor({ seed: 41, covers: 60, system: 'metric' });
  const { covers, catalogue, plans } = planCorridor(corridor, {});
  const { shots: all } = readPnezd(corridor.shotsCsv, { metresPerUnit: 1, elevationMetresPerUnit: 1 });
  const policy = { ...defaultPolicy, tolerance: 0.006 };
  const survey = prepareSurvey(all, covers, { policy, name: 'shots' });
  const planAll = (stage: 'existing' | 'finished', everywhere: PavingTreatment | null) => {
    const source = shotSource(
      { ids: ['shots'], name: 'shots', stage, lift: null, dated: '2026-05-01' },
      survey,
      policy,
    );
    const settings = { treatment: { everywhere, zones: [] }, solver: makeSolver(catalogue), policy };
    const project = prepareProject([source], settings);
    return covers.map((cover) => planInProject(cover, project));
  };

  it('of shots on the finished surface is planned as without a project', () => {
    const planned = planAll('finished', null).map(({ source, stageElevations, ...rest }) => rest);
    expect(planned).toEqual(plans);
    expect(plans.filter(({ status }) => status === 'raise').length).toBeGreaterThan(20);
  });

  it('is planned from the old surface as from the finished one where nothing is milled or laid', () => {
    const untouched = planAll('existing', {
      millDepth: 0,
      millClearance: 0,
      maxRiser: 0,
      lifts: [],
      setDown: null,
    });
    expect(untouched.map(({ stack, status, finished }) => ({ stack, status, finished }))).toEqual(
      plans.map(({ stack, status, finished }) => ({ stack, status, finished })),
    );
  });
});
