import { type CrsDefinition, insideArea, type Projection } from '#core/crs/crs.ts';
import type { Cover } from '#core/plan/types.ts';
import { PointGrid } from '#core/surface/grid.ts';
import { median } from '#core/surface/robust.ts';
import type { Shot } from '#core/surface/types.ts';

/** A shot within so many metres of a structure was taken for it. */
const nearby = 50;
/** A grid stretched by less than this moves no shot under a rim by a millimetre that matters. */
const stretchTold = 0.01;

type Place = Pick<Shot, 'east' | 'north'>;

const scaled =
  (factor: number) =>
  ({ east, north }: Place): Place => ({ east: east * factor, north: north * factor });
const swapped = ({ east, north }: Place): Place => ({ east: north, north: east });

/** What one of the files may have been written as: how the shots become what was meant, and what is said of which. */
const mistakes: readonly { meant: (shot: Place) => Place; ofShots: string; ofStructures: string }[] = [
  { meant: swapped, ofShots: 'swapped', ofStructures: 'swapped' },
  { meant: scaled(1 / 0.3048), ofShots: 'in metres, not in feet', ofStructures: 'in feet, not in metres' },
  { meant: scaled(0.3048), ofShots: 'in feet, not in metres', ofStructures: 'in metres, not in feet' },
];

/**
 * One line where the shots lie elsewhere than the structures: which file looks mistaken, or how far apart they are.
 * Null where most structures have shots near them, or most shots structures.
 */
export function shotsApart(
  shots: readonly Shot[],
  covers: readonly Cover[],
  {
    crs,
    projection,
    files,
  }: { crs: CrsDefinition; projection: Projection; files: { shots: string; structures: string } },
): string | null {
  if (shots.length === 0 || covers.length === 0) return null;
  const share = shareNear(covers, shots);
  if (share > 0.5 || shareNear(shots, covers) > 0.5) return null;
  const isIn = (places: readonly Place[]) => {
    const { east, north } = middleOf(places);
    return insideArea(crs, ...projection.toLonLat(east, north));
  };
  for (const { meant, ofShots, ofStructures } of mistakes) {
    if (shareNear(covers, shots.map(meant)) <= 0.5) continue;
    const isShots = isIn(covers) || !isIn(shots);
    const [file, other] = isShots ? [files.shots, 'structures'] : [files.structures, 'shots'];
    return `northing and easting of ${file} look as if they were ${isShots ? ofShots : ofStructures}: so read, they lie about the ${other}`;
  }
  const [from, to] = [middleOf(covers), middleOf(shots)];
  const unit = crs.metresPerUnit === 1 ? 'm' : 'ft';
  const far = (metres: number) => `${Math.round(Math.abs(metres) / crs.metresPerUnit)} ${unit}`;
  const north = to.north - from.north;
  const east = to.east - from.east;
  const way = `${far(north)} ${north < 0 ? 'south' : 'north'} and ${far(east)} ${east < 0 ? 'west' : 'east'}`;
  const lone = covers.length - Math.round(share * covers.length);
  return `${lone} of ${covers.length} structures have no shot of ${files.shots} within ${nearby} m; its middle lies ${way} of that of ${files.structures}`;
}

/** Share of places that have another of the others near them. */
function shareNear(places: readonly Place[], others: readonly Place[]): number {
  const grid = new PointGrid(
    Float64Array.from(others, (p) => p.east),
    Float64Array.from(others, (p) => p.north),
    nearby,
  );
  const found: number[] = [];
  const near = places.filter((p) => grid.within(p.east, p.north, nearby, found) > 0);
  return near.length / places.length;
}

const middleOf = (places: readonly Place[]): Place => ({
  east: median(places.map((p) => p.east)),
  north: median(places.map((p) => p.north)),
});

/** What is wrong with a grid whose metres are not those of the ground where the structures lie; null for a true one. */
export function stretchedGrid(covers: readonly Cover[], projection: Projection): string | null {
  if (covers.length === 0) return null;
  const { east, north } = middleOf(covers);
  const step = 100;
  const [, south] = projection.toLonLat(east, north - step);
  const [, top] = projection.toLonLat(east, north + step);
  // Along the meridian of WGS 84: radius of curvature a (1 - e^2) / (1 - e^2 sin^2)^1.5.
  const latitude = ((south + top) / 2) * (Math.PI / 180);
  const meridian = (6378137 * (1 - 0.00669438)) / (1 - 0.00669438 * Math.sin(latitude) ** 2) ** 1.5;
  const ground = (top - south) * (Math.PI / 180) * meridian;
  const scale = (2 * step) / ground;
  if (!(Math.abs(scale - 1) > stretchTold)) return null;
  return `a metre of this grid is ${(1 / scale).toFixed(3)} m on the ground here, so slopes and distances come out wrong; use the project's own grid`;
}
