import type { Problem } from '../../problem.ts';
import type { LengthUnit } from '../../units/length.ts';
import { fault } from '../faults.ts';
import type { CrsStatement, UnitStatement } from '../types.ts';
import type { TiffDirectory } from './directory.ts';

/** Tags of OGC GeoTIFF 1.1 (19-008r4). */
const geoTags = {
  pixelScale: 33550,
  tiepoint: 33922,
  transformation: 34264,
  keys: 34735,
  texts: 34737,
} as const;
/** Keys of OGC GeoTIFF 1.1, clause 7. */
const keyIds = {
  modelType: 1024,
  rasterType: 1025,
  citation: 1026,
  geodeticCrs: 2048,
  projectedCrs: 3072,
  projectedCitation: 3073,
  linearUnits: 3076,
  verticalCrs: 4096,
  verticalUnits: 4099,
} as const;
const geographicModel = 2;
const pixelIsPoint = 2;
/** Codes from here on are users' own. */
const userDefined = 32767;

/** EPSG units of measure 9001 to 9003: metre, foot, US survey foot. */
const unitCodes: Readonly<Record<number, LengthUnit>> = { 9001: 'm', 9002: 'ft', 9003: 'us-ft' };
/** Units of the heights of NAVD88, by EPSG code of the vertical system: metre, US survey foot, foot. */
const verticalSystems: Readonly<Record<number, LengthUnit>> = { 5703: 'm', 6360: 'us-ft', 8228: 'ft' };

export interface GridPlacement {
  /** Centre of the north-west cell. */
  firstX: number;
  firstY: number;
  cellX: number;
  cellY: number;
  crs: CrsStatement | null;
  units: UnitStatement;
}

/** Where the cells lie and what the file says of its systems. */
export async function gridPlacement(directory: TiffDirectory): Promise<GridPlacement | Problem> {
  const keys = await geoKeys(directory);
  const key = (id: number) => keys.numbers.get(id) ?? null;
  const corner = await cornerOf(directory);
  if ('message' in corner) return corner;
  // Of an area pixel the file gives the corner, of a point pixel the centre.
  const half = key(keyIds.rasterType) === pixelIsPoint ? 0 : 0.5;
  const isGeographic = key(keyIds.modelType) === geographicModel;
  const verticalUnit = unitCodes[key(keyIds.verticalUnits) ?? 0];
  return {
    firstX: corner.x + half * corner.cellX,
    firstY: corner.y - half * corner.cellY,
    cellX: corner.cellX,
    cellY: corner.cellY,
    crs: crsOf(key(isGeographic ? keyIds.geodeticCrs : keyIds.projectedCrs), keys.texts),
    units: {
      horizontal: isGeographic ? 'degree' : (unitCodes[key(keyIds.linearUnits) ?? 0] ?? null),
      vertical: verticalUnit ?? verticalSystems[key(keyIds.verticalCrs) ?? 0] ?? null,
    },
  };
}

function crsOf(code: number | null, texts: ReadonlyMap<number, string>): CrsStatement | null {
  const epsg = code !== null && code > 0 && code < userDefined ? code : null;
  const named = texts.get(keyIds.projectedCitation) || texts.get(keyIds.citation) || '';
  if (epsg === null && named === '') return null;
  return { epsg, text: named || `EPSG:${epsg}`, from: 'geokeys' };
}

async function cornerOf(directory: TiffDirectory) {
  const refuse = (code: string, message: string): Problem => fault({ code, message });
  const matrix = await directory.numbers(geoTags.transformation, 16);
  const scale = await directory.numbers(geoTags.pixelScale, 3);
  const tie = await directory.numbers(geoTags.tiepoint, 6);
  let corner: { x: number; y: number; cellX: number; cellY: number };
  if (scale.length >= 2 && tie.length >= 6) {
    const [cellX, cellY] = scale;
    corner = { x: tie[3] - tie[0] * cellX, y: tie[4] + tie[1] * cellY, cellX, cellY };
  } else if (matrix.length === 16) {
    if (matrix[1] !== 0 || matrix[4] !== 0)
      return refuse('rotatedGrid', 'the grid is rotated against its axes; resample it to rows that run east');
    corner = { x: matrix[3], y: matrix[7], cellX: matrix[0], cellY: -matrix[5] };
  } else if (tie.length >= 6)
    return refuse('tiePoints', 'the grid is placed by tie points alone; resample it to rows that run east');
  else return refuse('noPlace', 'the TIFF file does not say where its cells lie');
  const all = Object.values(corner);
  if (!all.every(Number.isFinite) || corner.cellX === 0 || corner.cellY === 0)
    return refuse('noPlace', 'the TIFF file gives its cells no size or no place');
  if (corner.cellX < 0 || corner.cellY < 0)
    return refuse(
      'turnedGrid',
      'the rows of the grid run west or from south to north; save it with north up',
    );
  return corner;
}

async function geoKeys(directory: TiffDirectory) {
  const numbers = new Map<number, number>();
  const texts = new Map<number, string>();
  const entries = await directory.numbers(geoTags.keys, 4000);
  const bytes = await directory.numbers(geoTags.texts, 65_536);
  for (let i = 4; i + 4 <= entries.length; i += 4) {
    const [id, place, count, value] = entries.slice(i, i + 4);
    if (place === 0) numbers.set(id, value);
    else if (place === geoTags.texts) {
      const text = String.fromCharCode(...bytes.slice(value, value + Math.min(count, 500)));
      texts.set(id, text.replace(/[|\0]+$/, ''));
    }
  }
  return { numbers, texts };
}
