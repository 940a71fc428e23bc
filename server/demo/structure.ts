import type { Problem } from '#core/problem.ts';
import { toCover } from '#core/register/cover.ts';
import type { RegisterRow } from '#core/register/types.ts';
import type { NewStructure } from '../store/structures.ts';

const longestId = 64;
const longestWord = 100;

/** A row as the register keeps it, or what is wrong with it. */
export function toStructure(
  row: RegisterRow,
  crs: string,
  toLonLat: (east: number, north: number) => [number, number],
): NewStructure | Problem {
  const cover = toCover(row);
  if ('message' in cover) return cover;
  const refuse = (column: string, value: string | null, message: string): Problem => ({
    code: 'notStorable',
    row: row.row,
    column,
    value,
    message,
  });
  if (row.id.length > longestId || row.id.includes('/')) {
    return refuse('id', row.id, `an id has at most ${longestId} characters and no slash`);
  }
  for (const column of ['kind', 'owner', 'street'] as const) {
    const value = row[column];
    if (value !== null && value.length > longestWord) {
      return refuse(column, value, `at most ${longestWord} characters`);
    }
  }
  const [lon, lat] = toLonLat(cover.east, cover.north);
  if (!Number.isFinite(lon) || !Number.isFinite(lat)) {
    return refuse('easting', String(row.east), `no place of ${crs} has these coordinates`);
  }
  return {
    id: row.id,
    kind: row.kind || 'unknown',
    owner: row.owner,
    street: row.street,
    lon,
    lat,
    crs,
    eastingM: cover.east,
    northingM: cover.north,
    seatElevationM: cover.seatElevation,
    seatGradientEast: cover.seatGradient[0],
    seatGradientNorth: cover.seatGradient[1],
    rimElevationM: cover.rimElevation,
    frameHeightM: cover.frameHeight,
    rimDiameterM: cover.rimRadius * 2,
    roadBearingDeg: cover.roadBearing === null ? null : degreesOf(cover.roadBearing),
    setDownM: cover.setDown,
    adjustment: cover.adjustment,
    condition: cover.condition,
    structureDepthM: row.structureDepth,
    structureDiameterM: row.structureDiameter,
  };
}

/** Back to what was written in the file: turning into radians and back moves the sixteenth digit. */
function degreesOf(radians: number): number {
  return Number(((radians * 180) / Math.PI).toFixed(9));
}
