import { statuses } from '#shared/status.ts';
import type { TileJson, TileQuery } from '#shared/tile.ts';
import type { Database } from '../../store/database.ts';
import { firstCoverZoom, lastZoom } from '../../store/tiles/places.ts';
import { findTileBounds, type TileScope } from '../../store/tiles/read.ts';
import { findTileRevisions } from '../../store/tiles/revisions.ts';
import { layerNames, unplanned } from '../../tiles/encode.ts';

const coverFields = {
  id: 'Text. Identity of the structure, as the agency writes it.',
  status: `Text. Where the cover stands: ${statuses.map(({ code }) => code).join(', ')}, or ${unplanned}.`,
  kind: 'Text. As the register has it.',
  owner: 'Text. As the register has it; absent where unknown.',
  street: 'Text. As the register has it; absent where unknown.',
  netBuildupM: 'Number. Metres of rings that the finished surface leaves room for; absent without a plan.',
};

const countFields = {
  covers: 'Whole number. Covers in the cell, all together.',
  ...Object.fromEntries(
    statuses.map(({ code, word }) => [
      code,
      `Whole number. Those with the status "${word}"; absent for none.`,
    ]),
  ),
  [unplanned]: 'Whole number. Those without a status; absent for none.',
};

/** TileJSON 3.0.0 of a scope; null where there is no such agency or project. */
export async function describeTiles(
  database: Database,
  scope: TileScope,
  { origin, query }: { origin: string; query: TileQuery },
): Promise<TileJson | null> {
  const world = { scope, address: { z: 0, x: 0, y: 0 } };
  const [{ isKnown, revision }] = await findTileRevisions(database, scope.agencyId, [world]);
  if (!isKnown) return null;
  const given = Object.entries(query).filter(([, value]) => value !== undefined);
  const words = new URLSearchParams(given).toString();
  return {
    tilejson: '3.0.0',
    name: 'Covers',
    description: `Covers from zoom ${firstCoverZoom} on; numbers of covers by status in cells of an eighth of a tile's side before.`,
    version: `1.${revision}.0`,
    scheme: 'xyz',
    tiles: [`${origin}/tiles/covers/{z}/{x}/{y}.mvt${words === '' ? '' : `?${words}`}`],
    minzoom: 0,
    maxzoom: lastZoom,
    ...(await findExtent(database, scope)),
    vector_layers: [
      {
        id: layerNames.covers,
        description: 'A point for each cover.',
        minzoom: firstCoverZoom,
        maxzoom: lastZoom,
        fields: coverFields,
      },
      {
        id: layerNames.counts,
        description: 'A point for each cell with covers, in their middle.',
        minzoom: 0,
        maxzoom: firstCoverZoom - 1,
        fields: countFields,
      },
    ],
  };
}

/** Cells that bounds are told in are tiles of this zoom. */
const cellZoom = 15;

async function findExtent(
  database: Database,
  scope: TileScope,
): Promise<Pick<TileJson, 'bounds' | 'center'>> {
  const found = await findTileBounds(database, scope);
  if (!found) return {};
  const lon = (column: number) => (column / 2 ** cellZoom) * 360 - 180;
  const lat = (row: number) =>
    (Math.atan(Math.sinh(Math.PI * (1 - (2 * row) / 2 ** cellZoom))) * 180) / Math.PI;
  const [west, south, east, north] = [lon(found.west), lat(found.south), lon(found.east), lat(found.north)];
  return {
    bounds: [west, south, east, north],
    center: [(west + east) / 2, (south + north) / 2, firstCoverZoom - 1],
  };
}
