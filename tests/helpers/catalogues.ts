import fc from 'fast-check';
import type { StackTarget } from '#core/stack/rigid.ts';
import type { Ring, RingCatalogue } from '#core/stack/types.ts';

const inch = 0.0254;
const mm = 0.001;

/** Demo rings of the worked cases: flats 1, 1 1/2, 2 and 3 in, tapers of 1 in over 34 in, joints of 0.10 in. */
export function inchCatalogue(change: Partial<RingCatalogue> = {}): RingCatalogue {
  const flat = (thick: number): Ring => ({
    id: `F${thick}`,
    thin: thick * inch,
    thick: thick * inch,
    outerDiameter: 34 * inch,
    maxPerStack: 4,
    cost: null,
  });
  const taper: Ring = { ...flat(1.5), id: 'T', thin: 0.5 * inch, thick: 1.5 * inch, maxPerStack: 2 };
  return {
    unit: 'in',
    rings: [flat(1), flat(1.5), flat(2), flat(3), taper],
    indexPositions: 0,
    indexFrom: 'north',
    maxRings: 6,
    maxChimney: 12 * inch,
    joint: { base: 0.1 * inch, between: 0.1 * inch, top: 0.1 * inch },
    ...change,
  };
}

/** Metric demo rings: flats 20, 30, 50 and 80 mm, a taper 15/35 over 850 mm, joints of 2.5 mm. */
export function metricCatalogue(change: Partial<RingCatalogue> = {}): RingCatalogue {
  const flat = (thick: number): Ring => ({
    id: `F${thick}`,
    thin: thick * mm,
    thick: thick * mm,
    outerDiameter: 0.85,
    maxPerStack: 4,
    cost: null,
  });
  const taper: Ring = { ...flat(35), id: 'T', thin: 0.015, thick: 0.035, maxPerStack: 2 };
  return {
    unit: 'mm',
    rings: [flat(20), flat(30), flat(50), flat(80), taper],
    indexPositions: 0,
    indexFrom: 'north',
    maxRings: 6,
    maxChimney: 0.33,
    joint: { base: 2.5 * mm, between: 2.5 * mm, top: 2.5 * mm },
    ...change,
  };
}

export function stackTarget(change: Partial<StackTarget> = {}): StackTarget {
  return {
    rise: 0.3,
    gradient: [0, 0],
    seatGradient: [0, 0],
    frameHeight: 0.18,
    rimRadius: 0.33,
    markBearing: 0,
    tolerance: 0.006,
    allowance: 0,
    ...change,
  };
}

/** A small random catalogue: sizes of its unit's grain, in metres, so that heights tie now and then. */
export const anyCatalogue = fc
  .record({
    inches: fc.boolean(),
    flats: fc.uniqueArray(fc.integer({ min: 2, max: 16 }), { minLength: 1, maxLength: 4, size: 'max' }),
    tapers: fc.array(fc.tuple(fc.integer({ min: 2, max: 8 }), fc.integer({ min: 1, max: 8 })), {
      maxLength: 2,
    }),
    stock: fc.array(fc.constantFrom(0, 1, 2, 3, 4), { minLength: 6, maxLength: 6 }),
    costs: fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 6, maxLength: 6 }),
    indexPositions: fc.constantFrom(0, 0, 1, 6, 12, 24),
    indexFrom: fc.constantFrom('road' as const, 'north' as const),
    maxRings: fc.constantFrom(0, 1, 3, 4, 5, 6),
    chimney: fc.integer({ min: 15, max: 80 }),
    joint: fc.constantFrom([0, 0, 0], [2, 2, 2], [6, 2, 6], [3, 0, 1]),
  })
  .map((g): RingCatalogue => {
    // A quarter inch, or 5 mm.
    const grain = g.inches ? inch / 4 : 5 * mm;
    const film = g.inches ? inch / 20 : mm;
    const rings = [
      ...g.flats.map((t, i) => ({ id: `F${i}`, thin: t * grain, thick: t * grain })),
      ...g.tapers.map(([thin, more], i) => ({
        id: `T${i}`,
        thin: thin * grain,
        thick: (thin + more) * grain,
      })),
    ];
    return {
      unit: g.inches ? 'in' : 'mm',
      rings: rings.map((r, i) => ({
        ...r,
        outerDiameter: 0.85,
        maxPerStack: g.stock[i],
        cost: g.costs[i],
      })),
      indexPositions: g.indexPositions,
      indexFrom: g.indexFrom,
      maxRings: g.maxRings,
      maxChimney: g.chimney * grain,
      joint: { base: g.joint[0] * film, between: g.joint[1] * film, top: g.joint[2] * film },
    };
  });

/** Evenly spread in [least, most]; `fc.double` would give nearly always a number near 0. */
const between = (least: number, most: number) =>
  fc.integer({ min: 0, max: 1_000_000 }).map((k) => least + ((most - least) * k) / 1_000_000);

const slope = (most: number) => between(-most, most);

/** A random place to reach: roads up to 7 %, seats level or tilted, within and past what rings can do. */
export const anyTarget = fc
  .record({
    buildup: between(-0.01, 0.22),
    gradient: fc.oneof(fc.tuple(slope(0.05), slope(0.05)), fc.tuple(slope(0.01), slope(0.01))),
    seat: fc.oneof(fc.constant([0, 0] as [number, number]), fc.tuple(slope(0.03), slope(0.03))),
    frameHeight: fc.constantFrom(0.1, 0.1524, 0.18, 0.2032),
    rimRadius: fc.constantFrom(0.1, 0.33, 0.3302),
    markBearing: between(0, 6.28),
    tolerance: fc.constantFrom(0.003, 0.00635, 0.012, 0.025),
    share: fc.constantFrom(0, 0, 0.3, 0.9),
  })
  .map(
    (g): StackTarget => ({
      rise: g.buildup + g.frameHeight,
      gradient: g.gradient,
      seatGradient: g.seat,
      frameHeight: g.frameHeight,
      rimRadius: g.rimRadius,
      markBearing: g.markBearing,
      tolerance: g.tolerance,
      allowance: g.share * g.tolerance,
    }),
  );
