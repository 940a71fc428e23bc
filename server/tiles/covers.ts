import { areaOf, type TileAddress, tileExtent } from '../store/tiles/area.ts';
import { placeBits } from '../store/tiles/places.ts';
import type { CoverColumns, CoverTexts } from './columns.ts';
import { layerNames } from './encode.ts';
import { pointFields, putVarint, tileOf, zigzag } from './layer.ts';
import { idKey, keys, mostPropertyBytes, type Pairs, Properties } from './properties.ts';

/** Which covers are shown: those that both say so of. */
export interface Kept {
  status(status: string): boolean;
  texts(texts: CoverTexts): boolean;
}

/**
 * A tile with each cover of its square and buffer as a point, in the order of their numbers: the same bytes from whichever
 * columns that hold all of it. Without `kept` all are shown.
 */
export function encodeCovers(address: TileAddress, columns: CoverColumns, kept?: Kept): Uint8Array {
  const chosen = choose(address, columns, kept);
  if (chosen.length === 0) return new Uint8Array(0);
  const properties = new Properties(columns, chosen);
  return tileOf({
    name: layerNames.covers,
    extent: tileExtent,
    features: writeFeatures({ address, columns, chosen, properties }),
    keys,
    values: [properties.values.finish(), idsOf(columns, chosen)],
  });
}

/** Which of the covers are in the tile. */
function choose(address: TileAddress, columns: CoverColumns, kept?: Kept): Uint32Array {
  const { count, xs, ys, statuses, texts } = columns;
  const { west, east, north, south } = areaOf(address);
  const keptStatuses = columns.distinctStatuses.map((status) => kept === undefined || kept.status(status));
  const keptTexts = columns.distinctTexts.map((each) => kept === undefined || kept.texts(each));
  const chosen = new Uint32Array(count);
  let some = 0;
  for (let k = 0; k < count; k++) {
    const [x, y] = [xs[k], ys[k]];
    if (x < west || x > east || y < north || y > south) continue;
    if (keptStatuses[statuses[k]] && keptTexts[texts[k]]) chosen[some++] = k;
  }
  return chosen.subarray(0, some);
}

/** Most bytes of a feature: heads, number and place, and its properties. */
const mostFeatureBytes = 32 + mostPropertyBytes;

interface Chosen {
  address: TileAddress;
  columns: CoverColumns;
  chosen: Uint32Array;
  properties: Properties;
}

/** Each feature is shorter than 128 bytes, and so are its parts: their lengths are one byte, filled in behind them. */
function writeFeatures({ address, columns, chosen, properties }: Chosen): Uint8Array {
  const { numbers, xs, ys, statuses, texts, buildups } = columns;
  const firstId = properties.values.count;
  const shift = placeBits - address.z - Math.log2(tileExtent);
  const [west, north] = [address.x * tileExtent, address.y * tileExtent];
  const bytes: Uint8Array = Buffer.allocUnsafe(chosen.length * mostFeatureBytes);
  let at = 0;
  for (let k = 0; k < chosen.length; k++) {
    const cover = chosen[k];
    bytes[at] = pointFields.feature;
    const start = at + 2;
    bytes[start] = pointFields.id;
    at = putVarint(bytes, start + 1, numbers[cover]);
    bytes[at] = pointFields.tags;
    const tags = at + 2;
    at = putPairs(bytes, tags, properties.statuses, statuses[cover]);
    bytes[at] = idKey;
    at = putVarint(bytes, at + 1, firstId + k);
    at = putPairs(bytes, at, properties.texts, texts[cover]);
    at = putPairs(bytes, at, properties.buildups, buildups[cover]);
    bytes[tags - 1] = at - tags;
    bytes[at++] = pointFields.type;
    bytes[at++] = pointFields.point;
    bytes[at] = pointFields.geometry;
    const geometry = at + 2;
    bytes[geometry] = pointFields.moveToOnce;
    at = putVarint(bytes, geometry + 1, zigzag((xs[cover] >> shift) - west));
    at = putVarint(bytes, at, zigzag((ys[cover] >> shift) - north));
    bytes[geometry - 1] = at - geometry;
    bytes[start - 1] = at - start;
  }
  return bytes.subarray(0, at);
}

/** Writes the k-th where there is room for it; gives the place behind it. */
function putPairs(to: Uint8Array, at: number, { bytes, lengths, room }: Pairs, k: number): number {
  const start = k * room;
  const end = start + lengths[k];
  for (let from = start; from < end; from++) to[at++] = bytes[from];
  return at;
}

/** Values of the ids. */
function idsOf({ ids, idStarts }: CoverColumns, chosen: Uint32Array): Uint8Array {
  let length = 0;
  for (let k = 0; k < chosen.length; k++) length += idStarts[chosen[k] + 1] - idStarts[chosen[k]];
  if (length === ids.length) return ids;
  const bytes: Uint8Array = Buffer.allocUnsafe(length);
  let at = 0;
  for (let k = 0; k < chosen.length; k++) {
    const end = idStarts[chosen[k] + 1];
    for (let from = idStarts[chosen[k]]; from < end; from++) bytes[at++] = ids[from];
  }
  return bytes;
}
