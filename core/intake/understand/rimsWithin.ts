import type { Problem } from '../../problem.ts';
import { compareRims, type RegisterRim, type RimShot } from '../../survey/checks/againstRegister.ts';
import { toProblem } from '../../survey/checks/types.ts';
import { readCode } from '../../survey/codes.ts';
import { metresPer } from '../../units/length.ts';
import type { Layer, OpenedFile, PointSet } from '../types.ts';
import type { Said, Understanding } from '../understanding.ts';
import { mapColumns } from './meanings.ts';
import { RecordReader } from './records.ts';

/** Rims looked at of either kind; so many settle a datum. */
const mostRims = 50_000;

interface Scale {
  horizontal: number;
  vertical: number;
}

/**
 * Where one file holds structures with rims as well as shots on rims, the two are held against each other: a datum or a
 * unit fault between them shows before anything is known of a project. Nothing is said while a unit is open.
 */
export async function rimsWithin(
  file: OpenedFile,
  { units }: Pick<Understanding, 'units'>,
  said: Said,
): Promise<Problem[]> {
  const [horizontal, vertical] = [units.horizontal.unit, units.vertical.unit];
  if (horizontal === null || vertical === null || horizontal === 'degree' || vertical === 'degree') return [];
  const layer = file.layers.find(
    ({ geometry, count }) => geometry !== 'line' && geometry !== 'polygon' && count !== 0,
  );
  const set = file.points.find(({ count }) => count !== 0);
  if (!layer || !set) return [];
  const scale = { horizontal: metresPer[horizontal], vertical: metresPer[vertical] };
  const rims = await rimsOf(layer, said, scale);
  if (rims.length === 0) return [];
  return compareRims(rims, await shotsOn(set, scale)).findings.map(toProblem);
}

async function rimsOf(layer: Layer, said: Said, { horizontal, vertical }: Scale): Promise<RegisterRim[]> {
  const columns = mapColumns(layer, said);
  if (!columns.some(({ meaning }) => meaning === 'rim_elevation')) return [];
  const reader = new RecordReader(columns);
  const rims: RegisterRim[] = [];
  for await (const batch of layer.features()) {
    for (const feature of batch) {
      const { id, x, y, numbers } = reader.read(feature);
      const elevation = numbers.rim_elevation;
      if (id === null || x === null || y === null || elevation == null || Number.isNaN(elevation)) continue;
      rims.push({ id, east: x * horizontal, north: y * horizontal, elevation: elevation * vertical });
    }
    if (rims.length >= mostRims) break;
  }
  return rims;
}

async function shotsOn(set: PointSet, { horizontal, vertical }: Scale): Promise<RimShot[]> {
  const shots: RimShot[] = [];
  for await (const batch of set.shots()) {
    for (const { row, point, easting, northing, elevation, code } of batch) {
      if (readCode(code).role !== 'rim' || Number.isNaN(elevation)) continue;
      const [east, north] = [easting * horizontal, northing * horizontal];
      shots.push({ row, point, east, north, elevation: elevation * vertical });
    }
    if (shots.length >= mostRims) break;
  }
  return shots;
}
