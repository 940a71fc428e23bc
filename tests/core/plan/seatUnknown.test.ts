import { describe, expect, it } from 'vitest';
import { sayReason, waitsForSeat } from '#core/decision/words.ts';
import { noTreatment, planCover, prepareSurvey } from '#core/plan/plan.ts';
import { defaultPolicy } from '#core/plan/policy.ts';
import type { Cover, Treatment } from '#core/plan/types.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { Shot } from '#core/surface/types.ts';
import { metricCatalogue } from '../../helpers/catalogues.ts';
import { coverAt, named, plane, ringOfShots } from '../../helpers/site.ts';

const surface = plane(0.01, 0.005);
const around = ringOfShots(surface, { count: 8 });
const onTheRim = ringOfShots(surface, { count: 4, radius: 0.33, role: 'rim' });

interface Case {
  cover?: Partial<Cover>;
  shots?: readonly Shot[];
  treatment?: Partial<Treatment>;
  sigma?: number;
}

/** The plan of a cover without a seat elevation. */
function plan({ cover = {}, shots = around, treatment = {}, sigma = 0.002 }: Case = {}) {
  const policy = { ...defaultPolicy, tolerance: 0.006, shotSigma: sigma };
  const one = coverAt({ seatElevation: null, ...cover });
  return planCover(one, {
    survey: prepareSurvey(named(shots), [one], { policy, name: 'site' }),
    solver: makeSolver(metricCatalogue()),
    policy,
    treatment: { ...noTreatment, ...treatment },
  });
}

const codes = (p: ReturnType<typeof plan>) => p.reasons.map(({ code }) => code);
const state = (change: Partial<Cover['condition']>): Partial<Cover> => ({
  condition: { located: null, chimneyUnsound: null, frameUnsound: null, ...change },
});

describe('a cover whose seat was never measured', () => {
  it('has a finished grade and how far its rim is from it, no stack, and asks for the seat', () => {
    const asked = plan();
    expect(asked).toMatchObject({
      ...{ status: 'remeasure', netBuildup: null, stack: [], residual: null, runnerUp: null },
      allowance: 'notMet',
    });
    expect(asked.finished!.elevation).toBeCloseTo(100, 6);
    expect(asked.rimError).toBeCloseTo(-0.06, 6);
    expect(codes(asked)).toEqual(['seatUnknown', 'low']);
    expect(waitsForSeat(asked.reasons)).toBe(true);
    const [said] = asked.reasons.map((one) => sayReason(one, { small: 'millimetres', elevation: 'm' }));
    expect(said).toMatch(/^The seat was never measured.*tape down to it from the rim\.$/);
  });

  it('says so of its rim too where that is unknown', () => {
    const asked = plan({ cover: { rimElevation: null } });
    expect(codes(asked)).toEqual(['seatUnknown']);
    expect(sayReason(asked.reasons[0], { small: 'millimetres', elevation: 'm' })).toMatch(
      /^Neither the seat nor the rim/,
    );
  });

  it('may stay as it is where the rim is right all round: no ring is cut', () => {
    const left = plan({ shots: [...around, ...onTheRim] });
    expect(left).toMatchObject({ status: 'leave', stack: [], residual: null, allowance: 'met' });
    expect(codes(left)).toEqual(['within']);
  });

  it('is looked at first where its surface or state asks for it, and the seat is asked for besides', () => {
    const broken = plan({ cover: state({ frameUnsound: true }) });
    expect([broken.status, codes(broken)]).toEqual(['review', ['frameUnsound', 'seatUnknown']]);
    const rebuilt = plan({ cover: state({ chimneyUnsound: true }) });
    expect([rebuilt.status, codes(rebuilt)]).toEqual(['rebuild', ['chimneyUnsound', 'seatUnknown']]);
    const lost = plan({ cover: state({ located: false }) });
    expect([lost.status, codes(lost)]).toEqual(['review', ['notLocated']]);
  });

  it('is unsurveyed, or to be surveyed better, for the same words', () => {
    const far = plan({ shots: ringOfShots(surface, { count: 8, radius: 40 }) });
    expect([far.status, codes(far)]).toEqual(['unsurveyed', ['noShots', 'seatUnknown']]);
    const weak = plan({ sigma: 0.02 });
    expect(weak.status).toBe('remeasure');
    expect(codes(weak).slice(0, 2)).toEqual(['surveyTooWeak', 'seatUnknown']);
    expect(waitsForSeat(weak.reasons)).toBe(false);
  });

  it('needs none with a telescoping top', () => {
    const turned = plan({ cover: { adjustment: 'telescoping' } });
    expect([turned.status, codes(turned)]).toEqual(['raise', ['low', 'telescoping']]);
    expect(turned.allowance).toBe('met');
  });

  it('may take a riser all the same, which stands in the frame', () => {
    expect(codes(plan({ treatment: { maxRiser: 0.08 } }))).toEqual(['seatUnknown', 'low', 'riser']);
  });

  it('in the way of the mill is to go down, and nobody knows whether it can', () => {
    const treatment = { millDepth: 0.05, millClearance: 0.025 };
    const milled = plan({ treatment });
    expect([milled.status, codes(milled)]).toEqual(['remeasure', ['millSeatUnknown', 'seatUnknown', 'low']]);
    expect(sayReason(milled.reasons[0], { small: 'millimetres', elevation: 'm' })).toContain('75 mm');
    const flush = plan({ treatment, shots: [...around, ...onTheRim] });
    expect([flush.status, codes(flush)]).toEqual(['remeasure', ['millSeatUnknown', 'within', 'seatUnknown']]);
  });
});
