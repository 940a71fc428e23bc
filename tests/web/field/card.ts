import type { CoverCard } from '#shared/cover.ts';
import type { VacuumTable } from '#shared/vacuum-table.ts';

export const inch = 0.0254;

const ring = (id: string, thin: number, thick: number) => ({
  id,
  thinM: thin * inch,
  thickM: thick * inch,
  outerDiameterM: 34 * inch,
  maxPerStack: 4,
  cost: null,
});

/** An invented cover: 7 in frame, 13.1 in from seat to grade, rings of whole inches and a taper. */
export function tapedCard(change: Partial<CoverCard> = {}): CoverCard {
  return {
    structure: {
      id: 'MH-1',
      kind: 'manhole',
      street: 'Alder Street',
      seatElevationM: 200,
      seatGradientEast: 0,
      seatGradientNorth: 0,
      frameHeightM: 7 * inch,
      rimDiameterM: 26 * inch,
      rimElevationM: 200 + 11 * inch,
      setDownM: 0,
      adjustment: 'rings',
      structureDiameterM: 48 * inch,
      structureDepthM: 3,
    },
    roadBearingDeg: 0,
    offsetM: 2,
    stationM: 740,
    fieldStatus: 'planned',
    night: null,
    limits: {
      toleranceM: { value: 0.25 * inch, from: 'default' },
      objective: { value: 'fewest', from: 'default' },
      acceptProudM: { value: 0.25 * inch, from: 'default' },
      acceptLowM: { value: 0.25 * inch, from: 'default' },
      drainageKinds: { value: ['inlet'], from: 'default' },
      drainageProudM: { value: 0, from: 'default' },
      drainageLowM: { value: 0.006, from: 'default' },
      timeZone: { value: 'UTC', from: 'default' },
      twoPersonsKg: { value: 23, from: 'default' },
      straightedgeLengthM: { value: 3.048, from: 'default' },
      straightedgeAlongM: { value: 0.125 * inch, from: 'agency' },
      straightedgeAcrossM: { value: null, from: 'agency' },
      vacuumTest: { value: 'all', from: 'agency' },
      vacuumTableId: { value: 'demo', from: 'agency' },
      thickRopeM: { value: null, from: 'default' },
      maxRings: { value: 6, from: 'catalogue' },
      maxChimneyM: { value: 12 * inch, from: 'catalogue' },
    },
    ringCatalogue: {
      id: 'rings',
      name: 'Rings',
      unit: 'in',
      rings: [
        ring('F1', 1, 1),
        ring('F2', 2, 2),
        { ...ring('F3', 3, 3), massKg: 62 * 0.45359237 },
        ring('T', 0.5, 1.5),
      ],
      indexPositions: 0,
      indexFrom: 'road',
      maxRings: 6,
      maxChimneyM: 12 * inch,
      joint: { baseM: 0.1 * inch, betweenM: 0.1 * inch, topM: 0.1 * inch },
    },
    plan: {
      revision: 1,
      status: 'raise',
      reasons: [],
      rimErrorM: -2 * inch,
      finished: {
        elevationM: 200 + 13.1 * inch,
        gradientEast: 0.01,
        gradientNorth: -0.02,
        sigmaRimM: 0.001,
      },
      stack: [
        { ring: 'F3', azimuthDeg: null },
        { ring: 'F2', azimuthDeg: null },
        { ring: 'T', azimuthDeg: 150 },
      ],
      residual: { worstM: 0.002, centreM: 0.001, tiltM: 0.001 },
      stageElevations: [],
    },
    plans: [],
    ...change,
  } as unknown as CoverCard;
}

/** An invented agency's times by diameter alone. */
export function vacuumTable(scope: VacuumTable['scope'] = 'structure'): VacuumTable {
  const row = (diameter: number, seconds: number) => ({ diameter, depth: null, seconds, secondsPerDepth: 0 });
  return {
    id: 'demo',
    name: 'Vacuum test of manholes',
    source: 'Invented standard details, sheet 12',
    scope,
    diameterUnit: 'in',
    depthUnit: 'ft',
    drawInHg: 10,
    startInHg: 10,
    endInHg: 9,
    settleSeconds: 0,
    passes: 'atLeast',
    headAt: 'frame',
    frameInPlace: true,
    rows: [row(48, 60), row(60, 75), row(72, 90)],
  };
}
