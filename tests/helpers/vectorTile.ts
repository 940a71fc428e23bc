import { VectorTile } from '@mapbox/vector-tile';
import { PbfReader } from 'pbf';

export interface TileFeature {
  id: number;
  lon: number;
  lat: number;
  /** Units of the tile. */
  x: number;
  y: number;
  properties: Record<string, string | number | boolean>;
}

/** Features of a layer of points as Mapbox's own reader gives them; none where the layer is not there. */
export function decodePoints(
  bytes: Uint8Array,
  layer: string,
  { z, x, y }: { z: number; x: number; y: number },
): TileFeature[] {
  const found = new VectorTile(new PbfReader(bytes)).layers[layer];
  if (!found) return [];
  return Array.from({ length: found.length }, (_, index) => {
    const feature = found.feature(index);
    const [[place]] = feature.loadGeometry();
    const { geometry } = feature.toGeoJSON(x, y, z);
    if (geometry.type !== 'Point') throw new Error(`${geometry.type} is no point`);
    const [lon, lat] = geometry.coordinates;
    return { id: feature.id!, lon, lat, x: place.x, y: place.y, properties: feature.properties };
  });
}

/**
 * Breaches of Vector Tile Specification 2.1 (sections 4.1 to 4.4, appendix A) in a tile of one layer of points, read field
 * by field; none where it holds to them.
 */
export function breachesOf(bytes: Uint8Array): string[] {
  const breaches: string[] = [];
  const reader = new PbfReader(bytes);
  if (reader.nextField() !== 3) return ['a tile is made of layers, field 3'];
  const end = reader.readVarint() + reader.pos;
  if (end !== bytes.length) breaches.push('bytes behind the layer');
  const seen: number[] = [];
  const [keys, values, ids]: [string[], string[], number[]] = [[], [], []];
  let pairs = 0;
  let extent = 0;
  for (let field = reader.nextField(end); field > 0; field = reader.nextField(end)) {
    seen.push(field);
    if (field === 15 && reader.readVarint() !== 2) breaches.push('version is not 2');
    if (field === 1) reader.readString();
    if (field === 5) extent = reader.readVarint();
    if (field === 3) keys.push(reader.readString());
    if (field === 4) values.push(readValue(reader, breaches));
    if (field === 2) pairs = Math.max(pairs, readFeature(reader, ids, breaches));
  }
  if (seen[0] !== 15) breaches.push('version is not the first field');
  for (const once of [15, 1, 5]) {
    if (seen.filter((field) => field === once).length !== 1) breaches.push(`field ${once} is not there once`);
  }
  if (extent !== 4096) breaches.push(`extent ${extent}`);
  const isDistinct = (list: readonly unknown[]) => new Set(list).size === list.length;
  if (!isDistinct(keys)) breaches.push('a key stands twice');
  if (!isDistinct(values)) breaches.push('a value stands twice');
  if (!isDistinct(ids)) breaches.push('an id stands twice');
  if (pairs > Math.max(keys.length, values.length)) breaches.push('a tag points beyond the lists');
  return breaches;
}

function readValue(reader: PbfReader, breaches: string[]): string {
  const end = reader.readVarint() + reader.pos;
  const found: string[] = [];
  for (let field = reader.nextField(end); field > 0; field = reader.nextField(end)) {
    if (field === 1) found.push(`text ${reader.readString()}`);
    else if (field === 3) found.push(`number ${reader.readDouble()}`);
    else if (field === 5) found.push(`number ${reader.readVarint()}`);
    else breaches.push(`a value of field ${field}`);
  }
  if (found.length !== 1) breaches.push(`a value of ${found.length} types`);
  return found[0];
}

/** Gives the highest number in its tags plus one. */
function readFeature(reader: PbfReader, ids: number[], breaches: string[]): number {
  const end = reader.readVarint() + reader.pos;
  let [tags, geometry]: number[][] = [[], []];
  let type = 0;
  for (let field = reader.nextField(end); field > 0; field = reader.nextField(end)) {
    if (field === 1) ids.push(reader.readVarint());
    else if (field === 2) tags = reader.readPackedVarint();
    else if (field === 3) type = reader.readVarint();
    else if (field === 4) geometry = reader.readPackedVarint();
    else breaches.push(`a feature of field ${field}`);
  }
  if (type !== 1) breaches.push(`type ${type} is no point`);
  if (tags.length % 2 !== 0) breaches.push('a key without a value');
  const keys = tags.filter((_, index) => index % 2 === 0);
  if (new Set(keys).size !== keys.length) breaches.push('a feature has a key twice');
  if (geometry.length !== 3 || geometry[0] !== 9) breaches.push(`a point of ${geometry.join(' ')}`);
  return Math.max(-1, ...tags) + 1;
}
