import { describe, expect, it } from 'vitest';
import { noTreatment, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { cutLine } from '#core/surface/uploadedLines.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';
import { coverAt, crowned, named, ringOfShots } from '../../helpers/site.ts';

const basePolicy: Policy = { ...defaultPolicy, tolerance: 0.006, shotSigma: 0.002 };
const solver = makeSolver(metricCatalogue());

describe('drawn crown lines', () => {
  const surface = crowned(1.5);
  const around = [
    ...ringOfShots(surface, { radius: 2.5, count: 12 }),
    ...ringOfShots(surface, { radius: 4, count: 12 }),
  ];
  const crown = cutLine({
    kind: 'crown',
    corners: [
      [1.5, -80],
      [1.5, 80],
    ],
  });
  const planWith = (lines: typeof crown) => {
    const survey = prepareSurvey(named(around), [coverAt()], { policy: basePolicy, name: 's', lines });
    return planCover(coverAt(), { survey, solver, policy: basePolicy, treatment: noTreatment });
  };

  it('part the shots as coded ones do: the plane is that of the cover’s own side', () => {
    const { finished } = planWith(crown);
    expect(finished).toMatchObject({ method: 'ownSide', breakLine: { kind: 'crown', distance: 1.5 } });
    expect(finished!.gradient[0]).toBeCloseTo(0.02, 6);
    expect(finished!.gradient[1]).toBeCloseTo(0.01, 6);
    expect(finished!.elevation).toBeCloseTo(surface(0, 0), 6);
  });

  it('keep their ends and leave out corners that say nothing of the way', () => {
    const corners = [
      [0, 0],
      [0.2, 0.3],
      [10, 0],
      [20, 0],
      [20.3, 0],
    ] as const;
    const pieces = cutLine({ kind: 'crown', corners });
    expect(pieces).toEqual([
      { kind: 'crown', e1: 0, n1: 0, e2: 10, n2: 0 },
      { kind: 'crown', e1: 10, n1: 0, e2: 20.3, n2: 0 },
    ]);
  });

  it('are cut so that every piece is found from beside its middle', () => {
    expect(crown.length).toBeGreaterThanOrEqual(5);
    for (const { e1, n1, e2, n2 } of crown) expect(Math.hypot(e2 - e1, n2 - n1)).toBeLessThanOrEqual(32);
    expect(crown[0].n1).toBe(-80);
    expect(crown.at(-1)!.n2).toBe(80);
    expect(
      cutLine({
        kind: 'gutter',
        corners: [
          [3, 3],
          [3, 3],
          [3.1, 3],
        ],
      }),
    ).toEqual([]);
  });
});
