import { statusCodes } from '#shared/status.ts';
import { type TileAddress, tileExtent } from '../store/tiles/area.ts';
import { placeBits } from '../store/tiles/places.ts';
import type { CountTuple } from '../store/tiles/read.ts';
import { PointLayer } from './layer.ts';

/** Names of the layers: covers from zoom 13 on, counts before. */
export const layerNames = { covers: 'covers', counts: 'counts' } as const;

/** Status of a cover that has none, as tiles and their filter call it. */
export const unplanned = 'unplanned';

/**
 * A tile with a point a cell, in the middle of what was counted in it: `covers` in all, and so many of each status, or of
 * each of other `kinds`.
 */
export function encodeCounts(
  { z, x, y }: TileAddress,
  counts: readonly CountTuple[],
  kinds: readonly string[] = [...statusCodes, ''],
): Uint8Array {
  const layer = new PointLayer(layerNames.counts, tileExtent);
  const rank = new Map(kinds.map((kind, index) => [kind, index]));
  const keys = new Map(['covers', ...kinds].map((name) => [name, layer.key(name || unplanned)]));
  const side = 2 ** (placeBits - z);
  const unit = side / tileExtent;
  for (let start = 0; start < counts.length; ) {
    let end = start + 1;
    while (end < counts.length && counts[end][0] === counts[start][0]) end += 1;
    const cell = counts.slice(start, end).sort((a, b) => rank.get(a[1])! - rank.get(b[1])!);
    start = end;
    let [covers, sumX, sumY] = [0, 0, 0];
    for (const [, , some, someX, someY] of cell) {
      covers += some;
      sumX += someX;
      sumY += someY;
    }
    layer.tag(keys.get('covers')!, layer.value(covers));
    for (const [, status, some] of cell) layer.tag(keys.get(status)!, layer.value(some));
    const number = (y * 2 ** z + x) * 64 + cell[0][0];
    const inTile = (sum: number, first: number) => Math.floor((sum / covers - first * side) / unit);
    layer.point(number, inTile(sumX, x), inTile(sumY, y));
  }
  return layer.finish();
}
