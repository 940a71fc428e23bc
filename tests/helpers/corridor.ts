/**
 * Invented overlays with a known finished surface, so that a plan can be held against the truth. Metres inside;
 * the files it gives are in the units of the chosen system.
 */
export interface CorridorOptions {
  seed: number;
  system?: 'us' | 'metric';
  covers?: number;
  /** Radius of the alignment, + turns right; 0 = straight. */
  radius?: number;
  /** `crowned`: falls both ways from the centre. `tilted`: superelevated, one slope right across. */
  section?: 'crowned' | 'tilted';
  /** false: no CL shots, and no code that tells where the crown is. */
  coded?: boolean;
  /** Shots about a cover fall on its own side of the crown only, or all round it. */
  around?: 'ownSide' | 'allRound';
  sigma?: number;
  bustShare?: number;
  /** A gutter pan of 6 % along both edges, its lip shot as GU. */
  gutters?: boolean;
  /** Distance of covers from the crown. */
  offsets?: [least: number, most: number];
  /** Shots taken about each cover. */
  perCover?: number;
  /** Greatest change of grade over the length. */
  gradeChange?: number;
  sectionEvery?: number;
}

export interface CorridorTruth {
  id: string;
  /** Elevation in the unit of the CRS. */
  finished: number;
  gradient: [number, number];
  seat: number;
  frame: number;
  radius: number;
  offset: number;
  bearing: number;
}

export interface Corridor {
  crs: string;
  structuresCsv: string;
  shotsCsv: string;
  ringsJson: string;
  truth: {
    crs: string;
    elevationUnit: string;
    smallPerElevation: number;
    unit: 'in' | 'mm';
    tolerance: number;
    covers: CorridorTruth[];
  };
}

/** Mulberry32: a small seeded generator of numbers in [0, 1). */
export function seeded(seed: number): () => number {
  let s = seed >>> 0;
  return () => {
    s = (s + 0x6d2b79f5) | 0;
    let t = Math.imul(s ^ (s >>> 15), 1 | s);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

const systems = {
  us: {
    crs: 'EPSG:2264',
    perMetre: 3937 / 1200,
    small: 12 * (3937 / 1200),
    east: 1_460_000,
    north: 590_000,
    level: 615,
    unit: 'in',
  },
  metric: {
    crs: 'EPSG:25832',
    perMetre: 1,
    small: 1000,
    east: 604_000,
    north: 5_401_000,
    level: 318,
    unit: 'mm',
  },
} as const;

const lane = 5.4;

export function makeCorridor(options: CorridorOptions): Corridor {
  const { seed, system = 'us', covers = 60, radius = 0, section = 'crowned', coded = true } = options;
  const { around = 'ownSide', sigma = 0.002, bustShare = 0, gutters = false, perCover = 6 } = options;
  const { offsets = [1, 4.4], gradeChange = 0.06, sectionEvery = 10 } = options;
  const random = seeded(seed);
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const unit = systems[system];
  const bearing = ((20 + random() * 140) * Math.PI) / 180;
  // A curve ends before it would run over itself.
  const length = radius === 0 ? 600 : Math.min(600, 4 * Math.abs(radius));
  const g1 = (random() - 0.5) * gradeChange;
  const g2 = (random() - 0.5) * gradeChange;
  const cross = 0.018 + random() * 0.012;
  const tilt = (random() < 0.5 ? -1 : 1) * (0.02 + random() * 0.04);
  const profile = (s: number) => g1 * s + ((g2 - g1) / (2 * length)) * s * s;
  const slopeOfProfile = (s: number) => g1 + ((g2 - g1) / length) * s;
  const across = (o: number) => {
    const base = section === 'crowned' ? -cross * Math.abs(o) : tilt * o;
    return gutters && Math.abs(o) > lane - 0.5 ? base - 0.06 * (Math.abs(o) - lane + 0.5) : base;
  };
  const acrossSlope = (o: number) => (across(o + 1e-6) - across(o - 1e-6)) / 2e-6;
  const place = (s: number, o: number): [number, number, number] => {
    if (radius === 0) {
      const e = s * Math.sin(bearing) + o * Math.cos(bearing);
      return [e, s * Math.cos(bearing) - o * Math.sin(bearing), bearing];
    }
    const b = bearing + s / radius;
    const r = radius - o;
    const ce = radius * Math.cos(bearing);
    const cn = -radius * Math.sin(bearing);
    return [ce - r * Math.cos(b), cn + r * Math.sin(b), b];
  };
  const gradient = (s: number, o: number): [number, number] => {
    const b = place(s, o)[2];
    const g = slopeOfProfile(s) * (radius === 0 ? 1 : radius / (radius - o));
    const x = acrossSlope(o);
    return [g * Math.sin(b) + x * Math.cos(b), g * Math.cos(b) - x * Math.sin(b)];
  };
  const decimals = system === 'us' ? 3 : 4;
  const shots: string[] = [];
  const shoot = (s: number, o: number, code: string) => {
    const [e, n] = place(s, o);
    const bust = random() < bustShare ? (random() < 0.5 ? -1 : 1) * (0.1 + 0.2 * random()) : 0;
    const z = profile(s) + across(o) + sigma * normal() + bust;
    const north = (unit.north + unit.perMetre * n).toFixed(decimals);
    const east = (unit.east + unit.perMetre * e).toFixed(decimals);
    shots.push(
      [
        1001 + shots.length,
        north,
        east,
        (unit.level + unit.perMetre * z).toFixed(decimals),
        coded ? code : '',
      ].join(','),
    );
  };
  const lip = lane - 0.5;
  const sections: [number, string][] = gutters
    ? [
        [-lane, 'EP'],
        [-lip, 'GU'],
        [-2.7, 'FG'],
        [0, 'CL'],
        [2.7, 'FG'],
        [lip, 'GU'],
        [lane, 'EP'],
      ]
    : [
        [-lane, 'EP'],
        [-2.7, 'FG'],
        [0, 'CL'],
        [2.7, 'FG'],
        [lane, 'EP'],
      ];
  for (let s = -20; s <= length + 20; s += sectionEvery) for (const [o, code] of sections) shoot(s, o, code);
  const rows: string[] = [];
  const truth: CorridorTruth[] = [];
  for (let i = 0; i < covers; i++) {
    const s = 5 + (length - 10) * random();
    const side = random() < 0.5 ? -1 : 1;
    const o = side * (offsets[0] + (offsets[1] - offsets[0]) * random());
    for (let k = 0; k < perCover; k++) {
      const angle = (2 * Math.PI * (k + random() * 0.5)) / perCover;
      const r = 1 + 1.2 * random();
      const oo = o + r * Math.sin(angle);
      if (Math.abs(oo) < lip && (around === 'allRound' || oo * side > 0.02))
        shoot(s + r * Math.cos(angle), oo, 'FG');
    }
    const us = system === 'us';
    const frame = us
      ? [4, 6, 7, 8][Math.floor(random() * 4)]
      : [100, 150, 180, 200][Math.floor(random() * 4)];
    const rim = us ? 13 : 330;
    const build = us ? 1 + random() * 10 : 25 + random() * 240;
    const finished = unit.level + unit.perMetre * (profile(s) + across(o));
    const seat = finished - ((frame + build) / unit.small) * unit.perMetre;
    const [e, n, b] = place(s, o);
    const id = `C-${String(i + 1).padStart(3, '0')}`;
    const low = us ? 0.1 + random() * 0.3 : 0.03 + random() * 0.09;
    const degrees = ((((b * 180) / Math.PI) % 360) + 360).toFixed(2);
    rows.push(
      [
        id,
        random() < 0.6 ? 'sanitary' : 'storm',
        (unit.north + unit.perMetre * n).toFixed(3),
        (unit.east + unit.perMetre * e).toFixed(3),
        (finished - low).toFixed(3),
        seat.toFixed(4),
        frame,
        rim * 2,
        degrees,
      ].join(','),
    );
    truth.push({
      id,
      finished,
      gradient: gradient(s, o),
      seat: Number(seat.toFixed(4)),
      frame,
      radius: rim,
      offset: o,
      bearing: (Number(degrees) * Math.PI) / 180,
    });
  }
  const heading = `id,kind,northing,easting,rim_elevation,seat_elevation,frame_height_${unit.unit},rim_diameter_${unit.unit},road_bearing_deg`;
  return {
    crs: unit.crs,
    structuresCsv: `${heading}\n${rows.join('\n')}\n`,
    shotsCsv: `${shots.join('\n')}\n`,
    ringsJson: JSON.stringify(catalogues[system]),
    truth: {
      crs: unit.crs,
      elevationUnit: system === 'us' ? 'us-ft' : 'm',
      smallPerElevation: system === 'us' ? 12 : 1000,
      unit: unit.unit,
      tolerance: system === 'us' ? 0.25 : 6,
      covers: truth,
    },
  };
}

const ring = (outerDiameter: number) => (r: [string, number, number, number]) => ({
  id: r[0],
  thin: r[1],
  thick: r[2],
  outerDiameter,
  maxPerStack: r[3],
});

/** Invented catalogues, one with marks counted from the road and no joints, one free to turn with 2 mm joints. */
export const catalogues = {
  us: {
    unit: 'in',
    indexPositions: 24,
    indexFrom: 'road',
    maxRings: 6,
    maxChimney: 14,
    joint: { base: 0, between: 0, top: 0 },
    rings: (
      [
        ['Y-075', 0.75, 0.75, 2],
        ['Y-100', 1, 1, 3],
        ['Y-150', 1.5, 1.5, 3],
        ['Y-200', 2, 2, 4],
        ['Y-400', 4, 4, 3],
        ['W-1', 0.75, 1.5, 2],
        ['W-2', 0.5, 2, 2],
      ] as [string, number, number, number][]
    ).map(ring(34)),
  },
  metric: {
    unit: 'mm',
    indexPositions: 0,
    maxRings: 6,
    maxChimney: 330,
    joint: { base: 2, between: 2, top: 2 },
    rings: (
      [
        ['Y-20', 20, 20, 3],
        ['Y-30', 30, 30, 3],
        ['Y-50', 50, 50, 4],
        ['Y-100', 100, 100, 3],
        ['W-1535', 15, 35, 2],
        ['W-2030', 20, 30, 2],
      ] as [string, number, number, number][]
    ).map(ring(850)),
  },
};
