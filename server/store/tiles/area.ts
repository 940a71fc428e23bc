import { firstCoverZoom, placeBits, revisionZoom, stripZoom } from './places.ts';

export interface TileAddress {
  z: number;
  x: number;
  y: number;
}

/** Units of a tile's side, as the tile itself counts. */
export const tileExtent = 4096;
/** Units beyond each side in which covers are in the tile too: half of the largest symbol, 37 of 512 pixels, and some. */
export const tileBuffer = 160;

/** Whole places, both ends included. */
export interface Area {
  west: number;
  east: number;
  north: number;
  south: number;
}

const most = 2 ** placeBits - 1;

/** What a tile shows: with its buffer where it shows covers, and its own square where it shows counts. */
export function areaOf({ z, x, y }: TileAddress): Area {
  const side = 2 ** (placeBits - z);
  const buffer = z < firstCoverZoom ? 0 : (side / tileExtent) * tileBuffer;
  return {
    west: Math.max(0, x * side - buffer),
    east: Math.min(most, (x + 1) * side + buffer - 1),
    north: Math.max(0, y * side - buffer),
    south: Math.min(most, (y + 1) * side + buffer - 1),
  };
}

/** Tiles with a revision that the area touches. */
export function revisionTilesOf({ west, east, north, south }: Area): Area {
  const side = 2 ** (placeBits - revisionZoom);
  const tile = (place: number) => Math.floor(place / side);
  return { west: tile(west), east: tile(east), north: tile(north), south: tile(south) };
}

/** Runs of the column `place` that hold the whole area, one a strip. */
export function runsOf({ west, east, north, south }: Area): { from: number; to: number }[] {
  const strip = 2 ** (placeBits - stripZoom);
  const runs: { from: number; to: number }[] = [];
  for (let each = Math.floor(north / strip); each <= Math.floor(south / strip); each += 1) {
    const start = each * 2 ** placeBits;
    runs.push({ from: start + west, to: start + east });
  }
  return runs;
}
