import type { VacuumTable } from '#core/seal/types.ts';

/** Tables of vacuum tests as agencies print them. */

const band = (from: number, to: number | null, [includesFrom, includesTo] = [false, false]) => ({
  ...{ from, to, includesFrom, includesTo },
});

const common = {
  scope: 'structure',
  diameterUnit: 'in',
  depthUnit: 'ft',
  ...{ drawInHg: 10, startInHg: 10, endInHg: 9, settleSeconds: 0 },
  passes: 'atLeast',
  headAt: 'frame',
  frameInPlace: null,
} as const satisfies Partial<VacuumTable>;

/** Claremont NC code § 5-3-56(a), Ord. 10-16, 2016: by diameter alone, "meets or exceeds". */
export const claremont: VacuumTable = {
  ...common,
  id: 'claremont',
  name: 'Claremont',
  source: 'Claremont NC code § 5-3-56(a), Ord. 10-16, 2016',
  rows: [
    [48, 60],
    [60, 75],
    [72, 90],
    [84, 105],
    [96, 120],
    [120, 150],
  ].map(([diameter, seconds]) => ({ diameter, depth: null, seconds, secondsPerDepth: 0 })),
};

/** Sheridan IN code, Ord. 2002-5-1, am. 2013-3-1: "greater than"; before the casting is set. */
export const sheridan: VacuumTable = {
  ...common,
  id: 'sheridan',
  name: 'Sheridan',
  source: 'Sheridan IN code, Ord. 2002-5-1, am. 2013-3-1',
  passes: 'longer',
  headAt: 'topRing',
  frameInPlace: false,
  rows: claremont.rows.slice(0, 3),
};

/** Spotsylvania County Utilities VA, vacuum test form for 48, 60 and 72 in manholes: frame in place. */
export const spotsylvania: VacuumTable = {
  ...common,
  id: 'spotsylvania',
  name: 'Spotsylvania',
  source: 'Spotsylvania County Utilities VA, vacuum test form (a copy)',
  frameInPlace: true,
  rows: [48, 60, 72].flatMap((diameter, step) => {
    const row = (seconds: number, depth: ReturnType<typeof band>, secondsPerDepth = 0) => ({
      ...{ diameter, depth, seconds: seconds + 15 * step, secondsPerDepth },
    });
    return [
      row(60, band(0, 10, [true, true])),
      row(75, band(10, 15)),
      row(90, band(15, 25)),
      row(90, band(25, null), 2),
    ];
  }),
};

/** N.H. Admin. Code Env-Wq 704.17(b), eff. 2014-10-15: by depth alone; 10 to 15 ft, less, and more. */
export const newHampshire: VacuumTable = {
  ...common,
  id: 'new-hampshire',
  name: 'New Hampshire',
  source: 'N.H. Admin. Code Env-Wq 704.17(b), eff. 2014-10-15',
  rows: [
    { diameter: null, depth: band(0, 10, [true, false]), seconds: 120, secondsPerDepth: 0 },
    { diameter: null, depth: band(10, 15, [true, true]), seconds: 150, secondsPerDepth: 0 },
    { diameter: null, depth: band(15, null), seconds: 180, secondsPerDepth: 0 },
  ],
};

/** Carmel Area Wastewater District CA, Ord. 2019-02: bands share 5, 10 and 15 ft; before grade rings go on. */
export const carmel: VacuumTable = {
  ...common,
  id: 'carmel',
  name: 'Carmel',
  source: 'Carmel Area Wastewater District CA, Ord. 2019-02',
  ...{ drawInHg: 8, startInHg: 7, endInHg: 6, settleSeconds: 60 },
  headAt: 'seat',
  frameInPlace: false,
  rows: [
    { diameter: null, depth: band(0, 5, [true, true]), seconds: 270, secondsPerDepth: 0 },
    { diameter: null, depth: band(5, 10, [true, true]), seconds: 330, secondsPerDepth: 0 },
    { diameter: null, depth: band(10, 15, [true, true]), seconds: 360, secondsPerDepth: 0 },
    { diameter: null, depth: band(15, null), seconds: 390, secondsPerDepth: 0 },
  ],
};

export const published = [claremont, sheridan, spotsylvania, newHampshire, carmel];

export { band };
