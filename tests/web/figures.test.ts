import { describe, expect, it } from 'vitest';
import { rimRound } from '#core/drawing/rim.ts';
import { composeStack } from '#core/stack/rigid.ts';
import type { CoverCard } from '#shared/cover.ts';
import { chimneyOf, rimErrorOf, signedWorst, tapersOf, worstToShow } from '../../web/figures.ts';

const inch = 0.0254;

/** An invented cover with a flat and a taper of an invented catalogue. */
function cardWith(plan: Partial<NonNullable<CoverCard['plan']>>): CoverCard {
  const rise = 12 * inch;
  const joint = { base: 0.1 * inch, between: 0.1 * inch, top: 0.1 * inch };
  const target = {
    rise,
    gradient: [0.012, -0.02] as const,
    seatGradient: [0, 0] as const,
    frameHeight: 7 * inch,
    rimRadius: 13 * inch,
    markBearing: 0,
    tolerance: 0,
    allowance: 0,
  };
  const rings = [
    { thin: 3 * inch, thick: 3 * inch, outerDiameter: 34 * inch, azimuth: 0 },
    { thin: 0.5 * inch, thick: 1.5 * inch, outerDiameter: 34 * inch, azimuth: 2.6 },
  ];
  const { worst, centre, tilt } = composeStack(target, rings, joint);
  const size = (thinM: number, thickM: number, id: string) => ({
    id,
    thinM,
    thickM,
    outerDiameterM: 34 * inch,
    maxPerStack: 3,
    cost: null,
  });
  return {
    structure: {
      seatElevationM: 200,
      setDownM: 0,
      seatGradientEast: 0,
      seatGradientNorth: 0,
      frameHeightM: 7 * inch,
      rimDiameterM: 26 * inch,
      rimElevationM: 200 + 11 * inch,
      adjustment: 'rings',
    },
    ringCatalogue: {
      unit: 'in',
      rings: [size(3 * inch, 3 * inch, 'F3'), size(0.5 * inch, 1.5 * inch, 'T')],
      joint: { baseM: joint.base, betweenM: joint.between, topM: joint.top },
    },
    plan: {
      status: 'raise',
      reasons: [],
      rimErrorM: -inch,
      finished: { elevationM: 200 + rise, gradientEast: 0.012, gradientNorth: -0.02, sigmaRimM: 0.001 },
      stack: [
        { ring: 'F3', azimuthDeg: null },
        { ring: 'T', azimuthDeg: (2.6 * 180) / Math.PI },
      ],
      residual: { worstM: worst, centreM: centre, tiltM: tilt },
      ...plan,
    },
  } as unknown as CoverCard;
}

describe('the rim error that is drawn', () => {
  it('is that of the stored residual: same worst, same centre', () => {
    const card = cardWith({});
    const rim = rimErrorOf(card)!;
    const round = rimRound(rim, 0, 3600).map(({ error }) => Math.abs(error));
    expect(Math.max(...round)).toBeCloseTo(card.plan!.residual!.worstM, 6);
    expect(rim.centre).toBeCloseTo(card.plan!.residual!.centreM, 9);
  });

  it('is not drawn when the stored residual is of something else', () => {
    expect(rimErrorOf(cardWith({ residual: { worstM: 0.02, centreM: 0.01, tiltM: 0.01 } }))).toBeNull();
    expect(rimErrorOf(cardWith({ stack: [{ ring: 'gone', azimuthDeg: null }] }))).toBeNull();
    expect(rimErrorOf(cardWith({ status: 'leave' }))).toBeNull();
    expect(rimErrorOf(cardWith({ finished: null }))).toBeNull();
  });
});

describe('the worst rim error that is shown', () => {
  it('takes the sign of the centre', () => {
    expect(signedWorst({ worstM: 0.003, centreM: -0.001, tiltM: 0.002 })).toBe(-0.003);
    expect(signedWorst({ worstM: 0.003, centreM: 0.001, tiltM: 0.002 })).toBe(0.003);
  });

  it('is that of the rim today where the casting stays, and none where a chimney is built anew', () => {
    const reasons = [{ code: 'within', values: { worst: 0.004, tolerance: 0.006, shots: 3 } }];
    expect(worstToShow(cardWith({ status: 'leave', reasons, rimErrorM: -0.002 }).plan!)).toBe(-0.004);
    expect(worstToShow(cardWith({ status: 'rebuild' }).plan!)).toBeNull();
    expect(worstToShow(cardWith({}).plan!)).not.toBeNull();
  });
});

describe('what the section shows', () => {
  it('is the planned stack, or today’s chimney where none is planned', () => {
    expect(chimneyOf(cardWith({}))!.existing).toBeNull();
    expect(chimneyOf(cardWith({ status: 'leave' }))!.existing! / inch).toBeCloseTo(4, 9);
  });

  it('is nothing where the seat was never measured, and neither is the rim round the clock', () => {
    const card = cardWith({});
    const unknown = { ...card, structure: { ...card.structure, seatElevationM: null } };
    expect(chimneyOf(unknown)).toBeNull();
    expect(rimErrorOf(unknown)).toBeNull();
  });

  it('numbers tapers as the stack does', () => {
    expect(tapersOf(cardWith({}).plan!)).toEqual([{ number: 2, thick: expect.closeTo(2.6, 9) }]);
    expect(tapersOf(cardWith({ status: 'rebuild' }).plan!)).toEqual([]);
  });
});
