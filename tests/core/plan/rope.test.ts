import { describe, expect, test } from 'vitest';
import { sayReason } from '#core/decision/words.ts';
import { noTreatment, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy } from '#core/plan/policy.ts';
import type { Cover } from '#core/plan/types.ts';
import { plannedCatalogue } from '#core/seal/sealPlan.ts';
import { composeStack } from '#core/stack/rigid.ts';
import { makeSolver } from '#core/stack/solve.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';
import { coverAt, named, plane, ringOfShots } from '../../helpers/site.ts';

const shots = ringOfShots(plane(0.01, 0.005), { count: 8 });
const catalogue = metricCatalogue();
const thickRope = catalogue.joint.base + 0.006;
const withRope = plannedCatalogue(catalogue, { isVacuumAsked: true, thickRope });

function plan(cover: Partial<Cover>, rings = withRope, measured = shots) {
  const policy = { ...defaultPolicy, tolerance: 0.006, shotSigma: 0.002 };
  const one = coverAt(cover);
  const survey = prepareSurvey(named(measured), [one], { policy, name: 'site' });
  return planCover(one, { survey, solver: makeSolver(rings), policy, treatment: noTreatment });
}
const words = ({ reasons }: ReturnType<typeof plan>) =>
  reasons.map((reason) => sayReason(reason, { small: 'millimetres', elevation: 'm' }));

/** Thick rope at bottom and top for a vacuum test: common practice, no source. */
describe('a plan with the thick rope of a vacuum test', () => {
  test('notes the rope, says so, and its residual is that of its rings on its joints', () => {
    const roped = plan({});
    expect(roped).toMatchObject({ status: 'raise', thickRope, allowance: 'met' });
    expect(words(roped)).toContainEqual(
      expect.stringMatching(/^The joint on the seat and the one under the frame are counted with \d+ mm/),
    );
    const one = coverAt({});
    const rings = roped.stack.map(({ ring, azimuth }) => ({
      ...catalogue.rings.find(({ id }) => id === ring)!,
      azimuth: azimuth ?? 0,
    }));
    const target = {
      rise: roped.finished!.elevation - one.setDown - one.seatElevation!,
      gradient: roped.finished!.gradient,
      seatGradient: one.seatGradient,
      frameHeight: one.frameHeight,
      rimRadius: one.rimRadius,
      markBearing: 0,
      tolerance: 0.006,
      allowance: 0,
    };
    expect(composeStack(target, rings, withRope.joint).worst).toBeCloseTo(roped.residual!.worst, 9);
    // The same rings on the usual joints would end lower by the two ropes.
    const usual = composeStack(target, rings, catalogue.joint).centre;
    expect(roped.residual!.centre - usual).toBeCloseTo(0.012, 4);
  });

  test('of a frame on its bare seat counts it once', () => {
    const flush = plan({ seatElevation: 100 - 0.18 - thickRope });
    expect(flush.stack).toEqual([]);
    expect(flush.thickRope).toBe(thickRope);
    expect(words(flush)).toContainEqual(
      expect.stringMatching(/^The joint under the frame is counted with \d+ mm of thick rope/),
    );
  });

  test('of a cover that stays says nothing of rope that nobody lays', () => {
    // Four shots on a rim that is flush all round.
    const rim = ringOfShots(plane(0.01, 0.005), { count: 4, radius: 0.33, role: 'rim' });
    const stays = plan({ rimElevation: 100 }, withRope, [...shots, ...rim]);
    expect(stays).toMatchObject({ status: 'leave', thickRope });
    expect(stays.reasons.map(({ code }) => code)).not.toContain('thickRope');
  });

  test('without one is byte for byte what it was', () => {
    const none = plannedCatalogue(catalogue, { isVacuumAsked: false, thickRope });
    expect(JSON.stringify(plan({}, none))).toBe(JSON.stringify(plan({}, catalogue)));
    expect(plan({}, none)).not.toHaveProperty('thickRope');
  });
});
