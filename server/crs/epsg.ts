import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { type CrsDefinition, makeProjection } from '#core/crs/crs.ts';
import type { Problem } from '#core/problem.ts';

/** One record of the register package, as far as it is used. */
interface EpsgRecord {
  code: string;
  kind: string;
  name: string;
  proj4: string | null;
  /** [north, west, south, east] in degrees. */
  bbox: [number, number, number, number];
  unit: string;
}

/** Units that PROJ strings name, in metres: the feet by law, the others as the PROJ unit list has them. */
const projUnits: Readonly<Record<string, number>> = {
  m: 1,
  km: 1000,
  ft: 0.3048,
  'us-ft': 1200 / 3937,
  ch: 20.1168,
  link: 0.201168,
  'ind-yd': 0.91439523,
};

/** Seven parameters that stand in for a datum grid that is not carried (metres, arc seconds, ppm). */
const gridStandIns: Readonly<Record<string, { towgs84: string; caution: string }>> = {
  'OSTN15_NTv2_OSGBtoETRS.gsb': {
    // EPSG transformation 1314, as the proj4 package carries it for the datum OSGB36.
    towgs84: '446.448,-125.157,542.060,0.1502,0.2470,0.8421,-20.4894',
    caution:
      'longitude and latitude come from seven parameters and may be off by some 5 m; grid positions are unaffected',
  },
};

const require = createRequire(import.meta.url);

/** Looks `EPSG:2264` up in the register; a code that is unknown or unfit for work in metres is a problem. */
export function findCrs(text: string): CrsDefinition | Problem {
  const refuse = (code: string, message: string): Problem => ({
    code,
    row: null,
    column: 'crs',
    value: text,
    message,
  });
  const match = /^\s*(?:EPSG:{1,2})?(\d{4,6})\s*$/i.exec(text);
  if (match === null)
    return refuse('notACrs', 'not a coordinate reference system; write its EPSG code, e.g. EPSG:2264');
  const record = readRecord(match[1]);
  if (record === null) return refuse('unknownCrs', `the EPSG register has no code ${match[1]}`);
  const definition = record.proj4 ?? '';
  if (record.kind !== 'CRS-PROJCRS' || definition === '') {
    return refuse(
      'notProjected',
      `${record.name} is not a projected system; covers need a horizontal grid in metres or feet`,
    );
  }
  if (/\+axis=/.test(definition)) {
    return refuse('axes', `${record.name} counts its axes south or west, which is not supported`);
  }
  const metresPerUnit = unitOf(definition);
  if (metresPerUnit === null)
    return refuse('unknownUnit', `the unit of ${record.name} (${record.unit}) is not known`);
  const [north, west, south, east] = record.bbox;
  const crs: CrsDefinition = {
    code: Number(match[1]),
    name: record.name,
    metresPerUnit,
    unitName: record.unit,
    area: { west, south, east, north },
    ...withCarriedDatum(definition),
  };
  return isComputable(crs) ? crs : refuse('projection', `the projection of ${record.name} is not supported`);
}

/** The register has projections that proj4 lacks; it says so by throwing. */
function isComputable(crs: CrsDefinition): boolean {
  try {
    makeProjection(crs);
    return true;
  } catch {
    return false;
  }
}

function readRecord(code: string): EpsgRecord | null {
  let path: string;
  try {
    path = require.resolve(`epsg-index/s/${code}.json`);
  } catch {
    return null;
  }
  return JSON.parse(readFileSync(path, 'utf8')) as EpsgRecord;
}

function unitOf(definition: string): number | null {
  const factor = /\+to_meter=(\S+)/.exec(definition);
  if (factor) return Number(factor[1]) > 0 ? Number(factor[1]) : null;
  const unit = /\+units=(\S+)/.exec(definition);
  return unit && Object.hasOwn(projUnits, unit[1]) ? projUnits[unit[1]] : null;
}

/** Datum grids are not carried: the grid's own positions do not need them, only the map's longitude and latitude do. */
function withCarriedDatum(definition: string): Pick<CrsDefinition, 'proj4' | 'caution'> {
  const match = /\+nadgrids=("[^"]*"|\S+)/.exec(definition);
  if (match === null || match[1] === '@null') return { proj4: definition };
  const standIn = gridStandIns[match[1]];
  const replaced = definition.replace(match[0], standIn ? `+towgs84=${standIn.towgs84}` : '');
  return {
    proj4: replaced,
    caution:
      standIn?.caution ??
      `the datum grid ${match[1]} is not carried: longitude and latitude may be off by 200 m; grid positions are unaffected`,
  };
}
