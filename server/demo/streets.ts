import { type Alignment, makeAlignment } from './alignment.ts';

/** How the pavement lies across a street. */
export type CrossSection =
  /** Falls both ways from a crown on the centre line. */
  | { form: 'crowned'; crossSlope: number }
  /** Crowned at both ends; between two stations one plane rising to the right, turning over `transition` metres. */
  | { form: 'banked'; crossSlope: number; bank: number; from: number; to: number; transition: number };

export interface Street {
  /** Short text id, unique in the town. */
  id: string;
  name: string;
  /** Edge to edge of the pavement. */
  width: number;
  line: Alignment;
  section: CrossSection;
  /** A street whose pavement wins where the two cross; its surface runs through. */
  yieldsTo: Street | null;
}

/** South-west corner of the grid in the projected system, metres: an inland spot of the system's area of use. */
export const origin = { east: 503_250, north: 226_480 };

/** Bearing of the avenues, so that nothing in the town lies along the grid's own axes. */
const avenueBearing = (17 * Math.PI) / 180;
const streetBearing = avenueBearing + Math.PI / 2;
const avenueSpacing = 96;
const streetSpacing = 112;

const avenueNames = [
  'Anvil',
  'Bellows',
  'Cinder',
  'Dowel',
  'Ferrule',
  'Gantry',
  'Hasp',
  'Ingot',
  'Lathe',
  'Mandrel',
  'Quoin',
  'Spindle',
  'Tenon',
];
const streetNames = [
  'Angelica',
  'Borage',
  'Chervil',
  'Dittany',
  'Fennel',
  'Hyssop',
  'Lovage',
  'Mallow',
  'Nettle',
  'Orris',
  'Sorrel',
  'Tansy',
  'Verbena',
  'Woodruff',
  'Yarrow',
];

/** The town's streets; `variety` picks widths and cross slopes. */
export function makeStreets(variety: { between(least: number, most: number): number }): Street[] {
  const overhang = 45;
  const avenues = avenueNames.map((name, index): Street => {
    const [east, north] = corner(index * avenueSpacing, -overhang);
    const length = (streetNames.length - 1) * streetSpacing + 2 * overhang;
    return {
      id: `avenue-${name.toLowerCase()}`,
      name: `${name} Avenue`,
      width: name === 'Gantry' ? 12.2 : Math.round(variety.between(8.5, 11.5) * 10) / 10,
      line: makeAlignment(east, north, avenueBearing, [{ length, radius: 0 }]),
      section: { form: 'crowned', crossSlope: name === 'Gantry' ? 0.021 : variety.between(0.018, 0.026) },
      yieldsTo: null,
    };
  });
  const gantry = avenues.find(({ id }) => id === 'avenue-gantry') ?? null;
  const streets = streetNames.map((name, index): Street => {
    const [east, north] = corner(-overhang, index * streetSpacing);
    const length = (avenueNames.length - 1) * avenueSpacing + 2 * overhang;
    return {
      id: `street-${name.toLowerCase()}`,
      name: `${name} Street`,
      width: Math.round(variety.between(8, 10) * 10) / 10,
      line: makeAlignment(east, north, streetBearing, [{ length, radius: 0 }]),
      section: { form: 'crowned', crossSlope: variety.between(0.019, 0.025) },
      yieldsTo: gantry,
    };
  });
  return [...avenues, ...streets, ...curvedRoads()];
}

/** Two roads outside the grid: a banked parkway to the east, a winding road to the west. */
function curvedRoads(): Street[] {
  const [parkwayEast, parkwayNorth] = corner(12 * avenueSpacing + 90, 3 * streetSpacing);
  const [millraceEast, millraceNorth] = corner(-110, 11 * streetSpacing);
  return [
    {
      id: 'weir-parkway',
      name: 'Weir Parkway',
      width: 10.4,
      line: makeAlignment(parkwayEast, parkwayNorth, avenueBearing + 0.55, [
        { length: 150, radius: 0 },
        { length: 460, radius: -260 },
        { length: 120, radius: 0 },
      ]),
      // A curve to the left is banked up to the right.
      section: { form: 'banked', crossSlope: 0.02, bank: 0.042, from: 165, to: 595, transition: 40 },
      yieldsTo: null,
    },
    {
      id: 'millrace-road',
      name: 'Millrace Road',
      width: 9.6,
      line: makeAlignment(millraceEast, millraceNorth, streetBearing + 0.9, [
        { length: 90, radius: 0 },
        { length: 230, radius: 170 },
        { length: 210, radius: -140 },
        { length: 120, radius: 0 },
      ]),
      section: { form: 'crowned', crossSlope: 0.024 },
      yieldsTo: null,
    },
  ];
}

/** Grid place of a point `right` across the avenues and `up` along them. */
function corner(right: number, up: number): [number, number] {
  const [sin, cos] = [Math.sin(avenueBearing), Math.cos(avenueBearing)];
  return [origin.east + up * sin + right * cos, origin.north + up * cos - right * sin];
}
