import { type CrsDefinition, makeProjection } from '#core/crs/crs.ts';
import { findDrawnBounds } from '../store/bounds.ts';
import { listStreets } from '../store/streets.ts';
import { findProjectBounds, type LonLatBounds } from '../store/tiles/summary.ts';
import type { Work } from './work.ts';

/** Degrees that a project may reach beyond what it holds: a few kilometres. */
const around = 0.05;

/**
 * Where the project lies, degrees: by its covers, else by its surveys, surfaces and lines, else by the streets of the
 * agency. null where nothing says it.
 */
export async function projectArea({ context, record, crs }: Work): Promise<CrsDefinition['area'] | null> {
  const db = context.database.kysely;
  const bounds =
    (await findProjectBounds(db, record)) ??
    toLonLat(await findDrawnBounds(db, record), crs) ??
    boundsOf((await listStreets(db, record.agencyId)).flatMap(({ line }) => line));
  if (!bounds) return null;
  const [west, south, east, north] = bounds;
  return { west: west - around, south: south - around, east: east + around, north: north + around };
}

/** The corners of a rectangle of the grid hold it on the Earth as nearly as is needed here. */
function toLonLat(bounds: LonLatBounds | null, crs: CrsDefinition): LonLatBounds | null {
  if (bounds === null) return null;
  const { toLonLat: unproject } = makeProjection(crs);
  const [west, south, east, north] = bounds;
  const corners = [west, east].flatMap((x) => [south, north].map((y) => unproject(x, y)));
  return boundsOf(corners);
}

function boundsOf(places: readonly (readonly [lon: number, lat: number])[]): LonLatBounds | null {
  const found = places.filter(([lon, lat]) => Number.isFinite(lon) && Number.isFinite(lat));
  if (found.length === 0) return null;
  const bounds: LonLatBounds = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [lon, lat] of found) {
    bounds[0] = Math.min(bounds[0], lon);
    bounds[1] = Math.min(bounds[1], lat);
    bounds[2] = Math.max(bounds[2], lon);
    bounds[3] = Math.max(bounds[3], lat);
  }
  return bounds;
}
