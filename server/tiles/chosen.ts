import type { Database } from '../store/database.ts';
import { keeper } from '../store/kept.ts';
import type { CoverConditions } from '../store/selection.ts';
import { type TileAddress, tileExtent } from '../store/tiles/area.ts';
import { findSnapshot, type PlacedCover, readChosenCells, readChosenCovers } from '../store/tiles/chosen.ts';
import { firstCoverZoom, placeBits } from '../store/tiles/places.ts';
import { type CellCount, countsInTile } from './cells.ts';
import { encodeCounts, layerNames, unplanned } from './encode.ts';
import { PointLayer } from './layer.ts';

/** A tile of the covers of a project that fit: its layers and their fields are those of all covers. */
export async function makeChosenTile(
  { kysely }: Database,
  key: { agencyId: string; projectId: string },
  { conditions, address }: { conditions: CoverConditions; address: TileAddress },
): Promise<Uint8Array> {
  if (address.z >= firstCoverZoom)
    return encodeChosen(address, await readChosenCovers(kysely, { ...key, conditions, address }));
  const counts = countsInTile(address, await findCells(kysely, key, conditions));
  return encodeCounts(
    address,
    counts.map(([cell, status, ...rest]) => [cell, status === unplanned ? '' : status, ...rest]),
  );
}

/** Cells of a city are a megabyte or two. */
const cells = keeper<CellCount[]>(8);

/** The tiles of one look at a city ask for the same counts: one pass over its covers serves them, till anything changes. */
async function findCells(
  kysely: Database['kysely'],
  key: { agencyId: string; projectId: string },
  conditions: CoverConditions,
): Promise<CellCount[]> {
  const token = await findSnapshot(kysely);
  const name = JSON.stringify([key, conditions]);
  return cells(kysely, { name, token }, () => readChosenCells(kysely, { ...key, conditions }));
}

function encodeChosen(address: TileAddress, covers: readonly PlacedCover[]): Uint8Array {
  const layer = new PointLayer(layerNames.covers, tileExtent);
  const fields = ['status', 'id', 'kind', 'owner', 'street', 'netBuildupM'] as const;
  const keys = fields.map((field) => layer.key(field));
  const inTile = placer(address);
  for (const cover of covers) {
    for (const [index, field] of fields.entries()) {
      const value = cover[field];
      if (value !== null) layer.tag(keys[index], layer.value(value));
    }
    layer.point(cover.number, ...inTile(cover));
  }
  return layer.finish();
}

/** Places of Web Mercator's square as the tile counts them. */
export function placer({ z, x, y }: TileAddress): (place: { x: number; y: number }) => [number, number] {
  const side = 2 ** (placeBits - z);
  const unit = side / tileExtent;
  return (place) => [Math.floor((place.x - x * side) / unit), Math.floor((place.y - y * side) / unit)];
}
