import { describe, expect, test } from 'vitest';
import { decide } from '#core/decision/decide.ts';
import { decideForMill } from '#core/decision/mill.ts';
import { turnTwo } from '#core/stack/orient.ts';
import { composeStack, netBuildup, rimErrors, type StackTarget } from '#core/stack/rigid.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { JointThickness, RingCatalogue } from '#core/stack/types.ts';
import { bestPlaneOverBend } from '#core/surface/bend.ts';
import { finishedFromRoad } from '#core/surface/fromRoad.ts';
import { readTapes } from '#core/surface/tapes.ts';
import { fromMetres, toMetres } from '#core/units/length.ts';
import { degrees, fallAzimuth, normaliseAzimuth, radians, slopeOf } from '#core/units/slope.ts';
import { inchCatalogue, metricCatalogue, stackTarget } from '../helpers/catalogues.ts';
import { coverAt } from '../helpers/site.ts';

/** Worked cases of the job, with invented demo figures: tapers of 1 in over 34 in, joints of 0.10 in. */

const inch = 0.0254;
const inches = (metres: number) => metres / inch;
const mm = (metres: number) => metres * 1000;
const azimuth = (angle: number) => degrees(normaliseAzimuth(angle));

const ids = (s: { stack: { ring: string }[] }) => s.stack.map((r) => r.ring).sort();
const flatsOnly = (catalogue: RingCatalogue) => ({
  ...catalogue,
  rings: catalogue.rings.filter((r) => r.thin === r.thick),
});
const taper = { thin: 0.5 * inch, thick: 1.5 * inch, outerDiameter: 34 * inch };
const noJoint: JointThickness = { base: 0, between: 0, top: 0 };

/** Case 2's surface over a level seat, and a frame of no height whose axis ends on it: only the tilt is left to see. */
const tilted = finishedFromRoad(
  {
    elevation: 0,
    grade: 0.03,
    crossSlope: -0.02,
    bearing: radians(40),
    sigma: 0,
    sigmaSlope: 0,
    source: 'plan',
  },
  13 * inch,
);
const overTapers = (count: number): StackTarget =>
  stackTarget({ gradient: tilted.gradient, rise: count * inch, frameHeight: 0, rimRadius: 13 * inch });

describe('worked cases', () => {
  test('1: 1.12 ft less a frame of 7 in is 6.44 in, and 3 + 2 + 1 in with four joints of 0.10 ends 0.04 in low', () => {
    const target = stackTarget({
      rise: toMetres(842.31 - 841.19, 'ft'),
      frameHeight: 7 * inch,
      rimRadius: 13 * inch,
      tolerance: 0.25 * inch,
    });
    expect(inches(netBuildup(target))).toBeCloseTo(6.44, 9);
    const { best, runnerUp } = makeSolver(flatsOnly(inchCatalogue())).solve(target, 'closest');
    expect(inches(best.residual.centre)).toBeCloseTo(-0.04, 9);
    expect(best.stack).toHaveLength(3);
    // Three stacks tie: the two that are shown must be of these.
    const ties = [
      ['F1', 'F2', 'F3'],
      ['F2', 'F2', 'F2'],
      ['F1.5', 'F1.5', 'F3'],
    ];
    expect(ties).toContainEqual(ids(best));
    expect(ties).toContainEqual(ids(runnerUp!));
    expect(inches(best.chimney)).toBeCloseTo(6.4, 9);
    // A quarter inch allows one ring fewer: 3 + 3 and three joints.
    const fewest = makeSolver(flatsOnly(inchCatalogue())).solve(target, 'fewest').best;
    expect(ids(fewest)).toEqual(['F3', 'F3']);
    expect(inches(fewest.residual.centre)).toBeCloseTo(-0.14, 9);
  });

  test('2: 3 % up and 2 % down to the right on a bearing of 40 degrees fall 3.606 % toward 186.3', () => {
    expect(tilted.gradient[0]).toBeCloseTo(0.003963, 6);
    expect(tilted.gradient[1]).toBeCloseTo(0.035837, 6);
    expect(100 * slopeOf(tilted.gradient)).toBeCloseTo(3.606, 3);
    expect(degrees(fallAzimuth(tilted.gradient))).toBeCloseTo(186.31, 2);
    expect(degrees(fallAzimuth(tilted.gradient))).toBeCloseTo(220 - degrees(Math.atan(2 / 3)), 9);
  });

  test('3: a single taper leaves 0.086 in at the rim, 15 degrees off 0.140, on a mark at 190 degrees 0.091', () => {
    const swing = (thinSide: number) => {
      const ring = { ...taper, azimuth: radians(thinSide) + Math.PI };
      return inches(composeStack(overTapers(1), [ring], noJoint).tilt);
    };
    // 1/1000 in for what the slopes' squares do.
    expect(swing(186.31)).toBeCloseTo(0.0864, 3);
    expect(swing(186.31 + 15)).toBeCloseTo(0.14, 3);
    expect(swing(190)).toBeCloseTo(0.091, 3);
    const only = inchCatalogue({ joint: noJoint });
    only.rings = only.rings.filter((r) => r.id === 'T').map((r) => ({ ...r, maxPerStack: 1 }));
    const { best } = makeSolver(only).solve(overTapers(1), 'closest');
    expect(azimuth(best.stack[0].azimuth! + Math.PI)).toBeCloseTo(186.31, 2);
    const ten = makeSolver({ ...only, indexPositions: 36 }).solve(overTapers(1), 'closest').best;
    expect(azimuth(ten.stack[0].azimuth! + Math.PI)).toBeCloseTo(190, 6);
    const errors = rimErrors(overTapers(1), [{ ...taper, azimuth: radians(6.31) }], noJoint, 24);
    expect(inches(Math.max(...errors) - Math.min(...errors)) / 2).toBeCloseTo(0.086, 2);
  });

  test('4: a pair of them is exact with thin sides at 134.1 and 238.5 degrees; on marks of ten degrees 0.032 in is left', () => {
    const only = inchCatalogue({ joint: noJoint });
    only.rings = only.rings.filter((r) => r.id === 'T');
    const { best } = makeSolver(only).solve(overTapers(2), 'closest');
    expect(inches(best.residual.tilt)).toBeLessThan(0.001);
    const thin = best.stack.map((s) => azimuth(s.azimuth! + Math.PI)).sort((a, b) => a - b);
    expect(thin[0]).toBeCloseTo(134.1, 1);
    expect(thin[1]).toBeCloseTo(238.5, 1);
    const snapped = [130, 240].map((side) => ({ ...taper, azimuth: radians(side) + Math.PI }));
    const left = composeStack(overTapers(2), snapped, noJoint);
    expect(inches(left.tilt)).toBeCloseTo(0.032, 3);
    expect((100 * left.tilt) / (13 * inch)).toBeCloseTo(0.245, 2);
  });

  test('4: unequal tapers of 2.941 and 1.471 % stand 23.2 and 52.1 degrees off the fall, to opposite sides', () => {
    const any = { positions: 0, from: 0, slack: 0 };
    const s = 0.03606;
    for (const turn of turnTwo([0, s], 1 / 34, 0.5 / 34, any)) {
      expect(Math.abs(degrees(turn.first))).toBeCloseTo(23.2, 1);
      expect(Math.abs(degrees(turn.second))).toBeCloseTo(52.1, 1);
      expect(Math.sign(turn.first)).toBe(-Math.sign(turn.second));
    }
    const [shallow] = turnTwo([0, 0.005], 1 / 34, 1 / 34, any);
    expect(Math.abs(degrees(shallow.first))).toBeCloseTo(85.1, 1);
    // Two degrees of slip each, inward.
    const slipped = (2 * Math.cos(radians(85.126 - 2))) / 34;
    expect(100 * slipped).toBeCloseTo(0.704, 3);
  });

  test('6: rope of 0.30 in at bottom and top gains 0.40 in, so the stack is solved again, not topped up', () => {
    const rope = flatsOnly(
      inchCatalogue({ joint: { base: 0.3 * inch, between: 0.1 * inch, top: 0.3 * inch } }),
    );
    const target = stackTarget({
      rise: toMetres(842.31 - 841.19, 'ft') - 0.125 * inch,
      frameHeight: 7 * inch,
      rimRadius: 13 * inch,
      tolerance: 0.25 * inch,
    });
    expect(inches(netBuildup(target))).toBeCloseTo(6.315, 9);
    const stack = (...thick: number[]) =>
      composeStack(
        target,
        thick.map((t) => ({ ...taper, thin: t * inch, thick: t * inch, azimuth: 0 })),
        rope.joint,
      );
    expect(inches(stack(3, 2, 1).centre)).toBeCloseTo(0.485, 9);
    expect(inches(stack(3, 1.5, 1).centre)).toBeCloseTo(-0.015, 9);
    const { best } = makeSolver(rope).solve(target, 'closest');
    expect(inches(best.residual.centre)).toBeCloseTo(-0.015, 9);
  });

  test('7: of 90 mm buildup 75 come out; no ring is 15 mm thin, so the frame goes on its seat and clears the mill by 15', () => {
    const decision = decideForMill(
      { rim: 256.48, seat: 256.21, frameHeight: 0.18 },
      { millDepth: 0.05, millClearance: 0.025, maxRiser: 0 },
      0.02,
    )!;
    expect(mm(decision.buildup)).toBeCloseTo(90, 6);
    expect(mm(decision.drop)).toBeCloseTo(75, 6);
    expect(decision.way).toBe('frameOnSeat');
    expect(mm(decision.spare)).toBeCloseTo(15, 6);
    expect(256.21 + 0.18).toBeCloseTo(256.39, 9);
  });

  test('8: 9.5 in and 2 more are within 12 in of chimney; 3 more are half an inch past it and mean rebuilding', () => {
    const catalogue = inchCatalogue({ joint: noJoint });
    const solver = makeSolver(catalogue);
    const judge = (buildup: number) => {
      const target = stackTarget({
        rise: (buildup + 7) * inch,
        frameHeight: 7 * inch,
        tolerance: 0.25 * inch,
      });
      const { best } = solver.solve(target, 'fewest');
      return decide({
        cover: coverAt(),
        catalogue,
        tolerance: 0.25 * inch,
        allowance: 0,
        rim: { centre: -2 * inch, worst: null, shots: 1 },
        stack: { netBuildup: netBuildup(target), best },
        overLine: false,
        split: null,
        overhang: 0,
      });
    };
    expect(judge(11.5).status).toBe('raise');
    const rebuilt = judge(12.5);
    expect(rebuilt.status).toBe('rebuild');
    expect(inches(rebuilt.reasons[0].values.short as number)).toBeCloseTo(0.5, 9);
  });

  test('9: over a crown 150 mm away the best plane rises 0.91 % toward it and misses by 2.6 mm; the own side by 7.2', () => {
    const { slope, lift, misfit } = bestPlaneOverBend(-0.04, 0.15, 0.33);
    expect(100 * (0.02 + slope)).toBeCloseTo(0.91, 2);
    expect(mm(misfit)).toBeCloseTo(2.6, 1);
    expect(mm(0.04 * (0.33 - 0.15))).toBeCloseTo(7.2, 9);
    const truth = (u: number) => 0.02 * u - 0.04 * Math.max(0, u - 0.15);
    const errors = Array.from({ length: 661 }, (_, i) => {
      const u = (i - 330) / 1000;
      return lift + (0.02 + slope) * u - truth(u);
    });
    expect(Math.max(...errors)).toBeCloseTo(misfit, 9);
    expect(Math.min(...errors)).toBeCloseTo(-misfit, 9);
  });

  test('10: four tapes of 8.20, 7.95, 7.60 and 7.90 in at 15 in ask for 2.01 %, thick toward 4.8 degrees, 0.91 in net', () => {
    const down = [8.2, 7.95, 7.6, 7.9].map((d) => d * inch) as [number, number, number, number];
    const tapes = readTapes({ down, radius: 15 * inch, bearing: 0 });
    expect(inches(tapes.rise)).toBeCloseTo(7.9125, 9);
    expect(tapes.gradient[1]).toBeCloseTo(0.02, 9);
    expect(tapes.gradient[0]).toBeCloseTo(0.00167, 5);
    expect(100 * slopeOf(tapes.gradient)).toBeCloseTo(2.01, 2);
    expect(degrees(fallAzimuth(tapes.gradient))).toBeCloseTo(184.76, 1);
    expect(inches(tapes.misclosure)).toBeCloseTo(-0.05, 9);
    expect(tapes.agrees).toBe(true);
    const target = stackTarget({ rise: tapes.rise, gradient: tapes.gradient, frameHeight: 7 * inch });
    // 0.9125 in without the frame's tilt, which takes 7 in x (1 / cos - 1) = 0.0014 in.
    expect(inches(netBuildup(target))).toBeCloseTo(0.9125 - 0.0014, 4);
  });

  test('11: taking one foot for the other moves northing 7,000,000 by 14.0 ft, 0.56 ft on a grade of 4 %', () => {
    const shift = (value: number) => fromMetres(toMetres(value, 'us-ft'), 'ft') - value;
    expect(shift(7_000_000)).toBeCloseTo(14, 3);
    expect(0.04 * shift(7_000_000)).toBeCloseTo(0.56, 3);
    expect(12 * shift(5280)).toBeCloseTo(0.127, 3);
  });

  test('12: a surface and a seat that fall different ways: 140.95 mm net, a pair at 350.5 and 98.3 degrees, 0.96 mm low', () => {
    const toward = (fall: number, azimuthDeg: number): [number, number] => [
      -fall * Math.sin(radians(azimuthDeg)),
      -fall * Math.cos(radians(azimuthDeg)),
    ];
    const gradient = toward(0.025, 70);
    const seatGradient = toward(0.012, 160);
    const want: [number, number] = [gradient[0] - seatGradient[0], gradient[1] - seatGradient[1]];
    expect(100 * slopeOf(want)).toBeCloseTo(2.773, 3);
    expect(degrees(fallAzimuth(want))).toBeCloseTo(44.36, 1);
    expect(mm(0.33 * (slopeOf(gradient) - slopeOf(want)))).toBeCloseTo(-0.9, 1);
    expect(mm(0.33 * slopeOf(seatGradient))).toBeCloseTo(4, 1);
    const target = stackTarget({ rise: 61.842 - 0.003 - 61.548, gradient, seatGradient, frameHeight: 0.15 });
    expect(mm(netBuildup(target))).toBeCloseTo(140.95, 2);

    const single = metricCatalogue();
    single.rings = single.rings.map((r) => ({ ...r, maxPerStack: r.id === 'T' ? 1 : r.maxPerStack }));
    const alone = makeSolver({ ...single, maxRings: 3 }).solve(target, 'closest').best;
    expect(mm(alone.residual.tilt)).toBeCloseTo(1.4, 1);

    const pair = ['F80', 'T', 'T'];
    const { best } = makeSolver(metricCatalogue({ maxRings: 3 })).solve(target, 'closest');
    expect(ids(best)).toEqual(pair);
    const thin = best.stack
      .filter((s) => s.azimuth !== null)
      .map((s) => azimuth(s.azimuth! + Math.PI))
      .sort((a, b) => a - b);
    expect(thin[0]).toBeCloseTo(98.3, 0);
    expect(thin[1]).toBeCloseTo(350.5, 0);
    // 0.96 mm by heights alone; the rings' own tilt takes a twentieth of a millimetre more.
    expect(Math.abs(mm(best.residual.centre) + 0.96)).toBeLessThan(0.1);
    expect(mm(best.residual.tilt)).toBeLessThan(0.02);
  });
});
