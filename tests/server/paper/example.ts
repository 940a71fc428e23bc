import type { CoverPlan } from '#shared/plan.ts';
import type { Limits } from '#shared/policy.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { acceptanceInForce } from '../../../server/acceptance-limits.ts';
import type { SheetCover, SheetSetting } from '../../../server/paper/sheet/types.ts';
import { sealantInForce } from '../../../server/sealant-limits.ts';

const inch = 0.0254;
const flat = (size: number) => ({
  id: `FL-${size}`,
  thinM: size * inch,
  thickM: size * inch,
  outerDiameterM: 34 * inch,
  maxPerStack: 12,
  cost: null,
});

/** Invented rings in inches: flats and one taper of 1 in over 34 in. */
export const catalogue: RingCatalogue = {
  id: 'rings',
  name: 'Rings',
  unit: 'in',
  rings: [flat(1), flat(1.5), flat(2), flat(3), { ...flat(1.5), id: 'TP-A', thinM: 0.5 * inch }],
  indexPositions: 24,
  indexFrom: 'road',
  maxRings: 12,
  maxChimneyM: 24 * inch,
  joint: { baseM: 0.1 * inch, betweenM: 0.1 * inch, topM: 0.1 * inch },
};

const limit = <Value>(value: Value) => ({ value, from: 'agency' as const });
const limits: Limits = {
  timeZone: limit('UTC'),
  twoPersonsKg: limit(23),
  toleranceM: limit(0.25 * inch),
  objective: limit('fewest'),
  shotLimitM: limit(4),
  reachLimitM: limit(6),
  samePlaceM: limit(0.05),
  shotSigmaM: limit('survey'),
  maxGradient: limit(0.15),
  finishedFrom: limit('automatic'),
  longestSideM: limit(50),
  liftSigmaM: limit(0),
  centreLineLimitM: limit(30),
  maxRings: limit(12),
  maxChimneyM: limit(24 * inch),
  ...acceptanceInForce({ displayUnit: 'in', agency: {}, project: {}, toleranceM: 0.25 * inch }),
  ...sealantInForce({ displayUnit: 'in', agency: {}, project: {} }),
};

/** Finished grade 842.31 ft over a seat at 841.19 ft, falling 3.6 % to 186 degrees: invented. */
export const plan: CoverPlan = {
  revision: 5,
  status: 'raise',
  reasons: [{ code: 'low', values: { by: 2.375 * inch } }],
  finished: {
    elevationM: 842.31 * 0.3048,
    gradientEast: 0.004,
    gradientNorth: 0.0358,
    sigmaM: 0.001,
    sigmaRimM: 0.0012,
    method: 'plane',
    surface: 'Finished',
    shotsUsed: 8,
    points: [],
    rejected: [],
    reachM: 3,
    nearestM: 1,
    breakLine: null,
    unitVariance: 1,
    misfitM: 0.001,
  },
  netBuildupM: 6.44 * inch,
  rimErrorM: -2.375 * inch,
  stack: [
    { ring: 'FL-3', azimuthDeg: null },
    { ring: 'FL-2', azimuthDeg: null },
    { ring: 'TP-A', azimuthDeg: 6 },
  ],
  residual: { worstM: 0.0021, centreM: -0.001, tiltM: 0.0011 },
  allowance: 'met',
  runnerUp: null,
  source: null,
  stageElevations: [],
};

export function exampleCover(change: Partial<SheetCover> = {}): SheetCover {
  return {
    structure: {
      id: 'MH-207',
      kind: 'sanitaryManhole',
      owner: 'Sewer works',
      street: 'Tallow Street',
      lon: -80,
      lat: 35,
      crs: 'EPSG:2264',
      eastingM: 500_000,
      northingM: 200_000,
      seatElevationM: 841.19 * 0.3048,
      seatGradientEast: 0,
      seatGradientNorth: 0,
      rimElevationM: 842.11 * 0.3048,
      frameHeightM: 7 * inch,
      rimDiameterM: 26 * inch,
      roadBearingDeg: 40,
      setDownM: 0,
      adjustment: 'rings',
      condition: { located: true, chimneyUnsound: null, frameUnsound: null },
      structureDepthM: 3,
      structureDiameterM: 1.2,
      accessibleRoute: null,
      updatedAt: '2026-11-20T10:00:00Z',
      version: 1,
    },
    stationM: 737,
    offsetM: 1.9,
    roadBearingDeg: 40,
    plan,
    crew: 'A',
    night: '2026-11-26',
    limits,
    ringCatalogue: catalogue,
    plannedAt: '2026-11-25T14:02:00Z',
    stale: null,
    stop: { number: 3, of: 9 },
    chosen: null,
    ties: [
      { to: 'hydrant', distanceM: 5.588 },
      { to: 'light pole', distanceM: 5.16 },
      { to: 'valve box', distanceM: 4.32 },
    ],
    photo: null,
    plate: null,
    seal: {
      joints: ['two ropes under', 'one rope under', 'one rope under', 'two ropes under'],
      counted: { bead: 0, rope: 6, thickRope: 0 },
      kit: 'rope 1⁄2 in, 6 rings of 91 in, 6 rolls. No tube: this one is vacuum tested.',
      warning: null,
    },
    vacuum: {
      requiredSeconds: 60,
      why: '',
      startInHg: 10,
      endInHg: 9,
      table: 'Times of the example table, 48 in.',
    },
    address: 'http://127.0.0.1:4150/mossvale/quay-lane?cover=MH-207',
    ...change,
  };
}

export const exampleSetting: SheetSetting = {
  agency: 'Mossvale',
  project: 'Quay Lane overlay',
  units: { small: 'fractionInches', smallUnit: 'in', elevation: 'ft', timeZone: 'UTC' },
  twoPersonsKg: 23,
  printedAt: new Date('2026-11-25T15:00:00Z'),
};
