import { seeded } from '../../helpers/corridor.ts';

/** How large the invented city is. The usual one is what a large agency has. */
export interface CitySize {
  structures: number;
  /** Those of the structures that are covers of the one project. */
  covers: number;
  /** Shots round the covers of the project, the same number at each but for the few that nobody surveyed. */
  shots: number;
}

export const usualSize: CitySize = { structures: 500_000, covers: 200_000, shots: 5_000_000 };

/** Grid system of the city, and its middle in it, metres. */
export const cityCrs = 'EPSG:26917';
export const middle = { east: 520_000, north: 3_960_000 };

/** Metres between parallel streets, and between places for a cover along one. */
const blockSide = 200;
const spacing = 18;
/** Blocks that a street runs on before it has another name. */
const blocksOfStreet = 10;

export interface CityStreet {
  id: string;
  name: string;
  /** Whether it runs to the north, else to the east. */
  isNorthward: boolean;
  /** Metres from the city's middle: of the street across its run, and of its start along it. */
  across: number;
  start: number;
  lengthM: number;
}

/** Streets on a grid that sways a little, from the middle outwards, enough of them for so many structures. */
export function layStreets(structures: number): CityStreet[] {
  // A little more than the mean, since what lies between two places is drawn.
  const streetMetres = 1.03 * structures * spacing;
  // A square of side s has s / block streets of length s each way.
  const lines = Math.max(2, Math.ceil(Math.sqrt(streetMetres / 2 / blockSide)));
  const pieces = Math.max(1, Math.ceil(lines / blocksOfStreet));
  const lengthM = blocksOfStreet * blockSide;
  const streets: Omit<CityStreet, 'id' | 'name'>[] = [];
  for (const isNorthward of [true, false]) {
    for (let line = 0; line < lines; line++) {
      for (let piece = 0; piece < pieces; piece++) {
        const across = (line - (lines - 1) / 2) * blockSide;
        const start = (piece - pieces / 2) * lengthM;
        streets.push({ isNorthward, across, start, lengthM });
      }
    }
  }
  const reach = ({ across, start }: Omit<CityStreet, 'id' | 'name'>) =>
    Math.hypot(across, start + lengthM / 2);
  streets.sort((a, b) => reach(a) - reach(b) || Number(a.isNorthward) - Number(b.isNorthward));
  return streets.map((street, index) => ({ ...street, id: `street-${index + 1}`, name: streetName(index) }));
}

const beginnings = 'Tarr Moss Quill Fenn Harl Oss Brack Wend Lark Pell Drum Cass'.split(' ');
const endings = 'mere wick holt den ford by combe ley stow gate'.split(' ');
const ways = 'Street Lane Road Way Row Rise Close Parade'.split(' ');

function streetName(index: number): string {
  const words = beginnings.length * endings.length;
  const base = `${beginnings[index % beginnings.length]}${endings[Math.floor(index / beginnings.length) % endings.length]}`;
  const way = ways[Math.floor(index / words) % ways.length];
  const turn = Math.floor(index / words / ways.length);
  return turn === 0 ? `${base} ${way}` : `${base} ${way} ${turn + 1}`;
}

/** Metres by which a street stands off its straight line, and how that changes along it. */
function sway({ across }: CityStreet, along: number): { offset: number; slope: number } {
  const phase = along / 700 + across / 90;
  return { offset: 14 * Math.sin(phase), slope: (14 / 700) * Math.cos(phase) };
}

/** Place at a station of a street and an offset to its right, with the bearing there, degrees. */
export function placeOn(
  street: CityStreet,
  station: number,
  offset: number,
): { east: number; north: number; bearingDeg: number } {
  const along = street.start + station;
  const { offset: swayed, slope } = sway(street, along);
  const turn = Math.atan(slope);
  if (street.isNorthward) {
    return {
      east: middle.east + street.across + swayed + offset * Math.cos(turn),
      north: middle.north + along - offset * Math.sin(turn),
      bearingDeg: ((((turn * 180) / Math.PI) % 360) + 360) % 360,
    };
  }
  return {
    east: middle.east + along + offset * Math.sin(turn),
    north: middle.north + street.across + swayed - offset * Math.cos(turn),
    bearingDeg: 90 - (turn * 180) / Math.PI,
  };
}

/** The finished surface everywhere in the city, metres: smooth, nowhere steeper than 3 %. */
export function finishedAt(east: number, north: number): number {
  return 100 + 12 * Math.sin(east / 1900) + 9 * Math.cos(north / 2300) + 4 * Math.sin((east + north) / 700);
}

/** A structure of the city. */
export interface CityStructure {
  id: string;
  kind: string;
  owner: string;
  street: CityStreet;
  stationM: number;
  offsetM: number;
  east: number;
  north: number;
  bearingDeg: number;
  frameHeight: number;
  seatElevation: number;
  rimElevation: number;
  isUnsound: boolean;
  isSurveyed: boolean;
}

/** `upTo`: share of the structures that are of this kind or one before it. */
const kinds = [
  { kind: 'sanitary', owner: 'Sewer works', prefix: 'SM', upTo: 0.32, frameHeight: 0.18 },
  { kind: 'storm', owner: 'Storm water works', prefix: 'ST', upTo: 0.57, frameHeight: 0.18 },
  { kind: 'valve', owner: 'Water works', prefix: 'WV', upTo: 0.9, frameHeight: 0.2 },
  { kind: 'telecom', owner: 'Line company', prefix: 'TC', upTo: 1, frameHeight: 0.15 },
];

/**
 * So many structures, the first streets first: those of the project are the first of all. The same numbers give the
 * same city on every machine.
 */
export function* layStructures(streets: readonly CityStreet[], count: number): Generator<CityStructure> {
  const random = seeded(41);
  let made = 0;
  for (const street of streets) {
    for (
      let station = 4 + spacing * random();
      station < street.lengthM;
      station += spacing * (0.7 + 0.6 * random())
    ) {
      if (made === count) return;
      yield makeStructure(street, { station, number: ++made, random });
    }
  }
  if (made < count) throw new Error(`The streets hold ${made} structures, ${count} were asked for`);
}

interface Draw {
  station: number;
  number: number;
  random: () => number;
}

function makeStructure(street: CityStreet, { station, number, random }: Draw): CityStructure {
  const draw = random();
  const found = kinds.find(({ upTo }) => draw < upTo)!;
  const { kind, owner, prefix, frameHeight } = found;
  const offset = -3.5 + 7 * random();
  const { east, north, bearingDeg } = placeOn(street, station, offset);
  const finished = finishedAt(east, north);
  const { buildup, rim } = drawHeights(random);
  return {
    id: `${prefix}-${String(number).padStart(6, '0')}`,
    kind,
    owner,
    street,
    stationM: station,
    offsetM: offset,
    east,
    north,
    bearingDeg,
    frameHeight,
    seatElevation: finished - frameHeight - buildup,
    rimElevation: finished + rim,
    isUnsound: random() < 0.04,
    isSurveyed: random() >= 0.03,
  };
}

/** Metres from seat to the frame's underside, and of the rim over the finished surface. */
function drawHeights(random: () => number): { buildup: number; rim: number } {
  const draw = random();
  if (draw < 0.06) return { buildup: 0.02 + 0.04 * random(), rim: 0.03 * random() };
  if (draw < 0.1) return { buildup: -0.05 * random(), rim: 0.05 };
  if (draw < 0.14) return { buildup: 0.5 + 0.2 * random(), rim: -0.05 };
  return { buildup: 0.03 + 0.17 * random(), rim: -0.02 - 0.08 * random() };
}

/** A size from `--structures=N --covers=N --shots=N`; covers and shots follow the structures unless they are given. */
export function readSize(args: readonly string[]): CitySize {
  const read = (name: string) => {
    const text = args.find((arg) => arg.startsWith(`--${name}=`))?.slice(name.length + 3);
    if (text === undefined) return null;
    if (!/^[1-9]\d{0,8}$/.test(text)) throw new Error(`--${name} is "${text}": give a whole number`);
    return Number(text);
  };
  const structures = read('structures') ?? usualSize.structures;
  const covers = read('covers') ?? Math.ceil((structures * usualSize.covers) / usualSize.structures);
  const shots = read('shots') ?? covers * (usualSize.shots / usualSize.covers);
  if (covers > structures)
    throw new Error(`${covers} covers need as many structures, there are ${structures}`);
  return { structures, covers, shots };
}
