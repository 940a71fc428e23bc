import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { composeStack, netBuildup, rimErrors } from '#core/stack/rigid.ts';
import { metricCatalogue, stackTarget } from '../../helpers/catalogues.ts';
import { normalOf, poseOf, sampleRim } from '../../helpers/pose.ts';

const spread = (least: number, most: number) =>
  fc.integer({ min: 0, max: 100_000 }).map((k) => least + ((most - least) * k) / 100_000);

const ring = fc
  .record({ thin: spread(0.01, 0.1), more: spread(0, 0.05), azimuth: spread(-7, 7) })
  .map(({ thin, more, azimuth }) => ({ thin, thick: thin + more, outerDiameter: 0.8, azimuth }));

const gradient = fc.tuple(spread(-0.3, 0.3), spread(-0.3, 0.3));

describe('rigid composition', () => {
  test('agrees with rotation matrices applied part by part, for stacks far steeper than any street', () => {
    fc.assert(
      fc.property(
        fc.array(ring, { maxLength: 6 }),
        gradient,
        gradient,
        spread(0.05, 0.7),
        (rings, road, seat, rise) => {
          const { joint } = metricCatalogue();
          const target = stackTarget({ gradient: road, seatGradient: seat, rise });
          const built = composeStack(target, rings, joint);
          const errors = sampleRim(target, rings, { joint });
          const worst = Math.max(...errors.map(Math.abs));
          expect(Math.abs(built.worst - worst)).toBeLessThan(2e-5 * built.worst + 1e-12);
          expect(built.centre).toBeCloseTo((errors[0] + errors[360]) / 2, 11);
          rimErrors(target, rings, joint, 24).forEach((e, i) => {
            expect(e).toBeCloseTo(errors[30 * i], 11);
          });
          const [ne, nn, nu] = normalOf(poseOf(target, rings, joint));
          expect(built.topGradient[0]).toBeCloseTo(-ne / nu, 11);
          expect(built.topGradient[1]).toBeCloseTo(-nn / nu, 11);
        },
      ),
      { numRuns: 300 },
    );
  });

  test('flat rings on a level seat add up to their sum, with one joint more than rings', () => {
    const flat = { thin: 0.05, thick: 0.05, outerDiameter: 0.85, azimuth: 0 };
    const joint = { base: 0.003, between: 0.002, top: 0.005 };
    const built = composeStack(stackTarget({ rise: 0.3 }), [flat, flat], joint);
    expect(built.chimney).toBeCloseTo(0.1 + 0.003 + 0.002 + 0.005, 12);
    expect(built.centre).toBeCloseTo(0.11 + 0.18 - 0.3, 12);
    expect(built.tilt).toBe(0);
    expect(built.worst).toBeCloseTo(0.01, 12);
  });

  test('one tapered ring rises toward its thick side by its thickness over its diameter', () => {
    const taper = { thin: 0.015, thick: 0.035, outerDiameter: 0.85, azimuth: Math.PI / 2 };
    const { topGradient } = composeStack(stackTarget(), [taper], metricCatalogue().joint);
    expect(topGradient[0]).toBeCloseTo(0.02 / 0.85, 12);
    expect(topGradient[1]).toBeCloseTo(0, 12);
  });

  test('a rim error is proud where the frame stands over the surface, counted clockwise from north', () => {
    // The surface rises to the north and the frame is level: low in the north, proud in the south.
    const errors = rimErrors(
      stackTarget({ gradient: [0, 0.02], rise: 0.18 }),
      [],
      { base: 0, between: 0, top: 0 },
      4,
    );
    expect(errors[0]).toBeCloseTo(-0.02 * 0.33, 9);
    expect(errors[1]).toBeCloseTo(0, 9);
    expect(errors[2]).toBeCloseTo(0.02 * 0.33, 9);
    expect(rimErrors(stackTarget(), [], { base: 0, between: 0, top: 0 })).toHaveLength(24);
  });
});

describe('net buildup', () => {
  test('deducts the frame along its own axis: H / cos of the tilt', () => {
    // 150 mm on 2.5 %: H / cos = 150.047 mm.
    const net = netBuildup(stackTarget({ rise: 0.294, frameHeight: 0.15, gradient: [0.025, 0] }));
    expect(net).toBeCloseTo(0.294 - 0.15 / Math.cos(Math.atan(0.025)), 12);
    expect(0.294 - net).toBeCloseTo(0.150047, 6);
  });

  test('filled with flat rings of just that height leaves the axis on the surface when the seat has its slope', () => {
    fc.assert(
      fc.property(gradient, (slope) => {
        const target = stackTarget({ gradient: slope, seatGradient: slope, rise: 0.4 });
        const height = netBuildup(target) / Math.hypot(1, ...slope);
        const flat = { thin: height, thick: height, outerDiameter: 0.85, azimuth: 0 };
        const built = composeStack(target, [flat], { base: 0, between: 0, top: 0 });
        expect(built.worst).toBeLessThan(1e-12);
      }),
    );
  });
});
