import type { Projection } from '#core/crs/crs.ts';
import { cellOf, mercatorCellOf } from '../../../server/store/cell.ts';
import { seeded } from '../../helpers/corridor.ts';
import { type CityStructure, cityCrs, finishedAt } from './layout.ts';

/** Lines of COPY's text form, in pieces that are worth sending. */
export function* inPieces(lines: Iterable<string>): Generator<Buffer> {
  let piece = '';
  for (const line of lines) {
    piece += line;
    if (piece.length < 1 << 18) continue;
    yield Buffer.from(piece);
    piece = '';
  }
  yield Buffer.from(piece);
}

const millimetre = (metres: number) => Math.round(metres * 1000) / 1000;

export const structureColumns = `agency_id, structure_id, kind, owner, street, lon, lat, cell, crs, easting_m, northing_m,
  seat_elevation_m, rim_elevation_m, frame_height_m, rim_diameter_m, chimney_unsound`;

export function* structureLines(
  structures: Iterable<CityStructure>,
  { agencyId, projection }: { agencyId: string; projection: Projection },
): Generator<string> {
  for (const one of structures) {
    const [lon, lat] = projection.toLonLat(one.east, one.north);
    yield `${agencyId}\t${one.id}\t${one.kind}\t${one.owner}\t${one.street.name}\t${lon}\t${lat}\t${mercatorCellOf(lon, lat)}\t${cityCrs}\t${one.east}\t${one.north}\t${millimetre(one.seatElevation)}\t${millimetre(one.rimElevation)}\t${one.frameHeight}\t0.6\t${one.isUnsound}\n`;
  }
}

export const coverColumns =
  'agency_id, project_id, structure_id, easting_m, northing_m, station_m, offset_m, road_bearing_deg';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

export function* coverLines(
  covers: Iterable<CityStructure>,
  { agencyId, projectId }: ProjectKey,
): Generator<string> {
  for (const one of covers) {
    yield `${agencyId}\t${projectId}\t${one.id}\t${one.east}\t${one.north}\t${one.stationM}\t${one.offsetM}\t${one.bearingDeg}\n`;
  }
}

export const shotColumns =
  'agency_id, project_id, surface_id, point, ordinal, easting_m, northing_m, elevation_m, code, role, cell';

/** Deviation of a shot from the surface, metres. */
const noise = 0.003;
/** Shots lie this near to and this far from their cover, metres. */
const [nearest, farthest] = [0.6, 5.6];

/** Shots all round each surveyed cover, the covers in the order of their cells, which is nearly that of the index. */
export function* shotLines(
  covers: readonly CityStructure[],
  { agencyId, projectId, surfaceId, shots }: ProjectKey & { surfaceId: string; shots: number },
): Generator<string> {
  const random = seeded(43);
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const surveyed = covers.filter(({ isSurveyed }) => isSurveyed);
  const cells = new Map(surveyed.map((one) => [one, cellOf(one.east, one.north)]));
  surveyed.sort((a, b) => cells.get(a)! - cells.get(b)!);
  const head = `${agencyId}\t${projectId}\t${surfaceId}\t`;
  let made = 0;
  for (const [index, one] of surveyed.entries()) {
    const until = Math.floor((shots * (index + 1)) / surveyed.length);
    const count = until - made;
    for (let each = 0; each < count; each++) {
      const angle = (2 * Math.PI * (each + random())) / count;
      const reach = nearest + (farthest - nearest) * Math.sqrt(random());
      const east = millimetre(one.east + reach * Math.sin(angle));
      const north = millimetre(one.north + reach * Math.cos(angle));
      const elevation = millimetre(finishedAt(east, north) + noise * normal());
      yield `${head}${++made}\t0\t${east}\t${north}\t${elevation}\tFG\tsurface\t${cellOf(east, north)}\n`;
    }
  }
}
