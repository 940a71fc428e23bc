import { PbfWriter } from 'pbf';

/** A property's value: text, or a number, written as a whole one where it is one of at least 0. */
export type TileValue = string | number;

const point = 1;
const moveToOnce = 9;
const lengthDelimited = 2;

/** Fields of the messages of Vector Tile Specification 2.1, appendix A. */
const tile = { layers: 3 };
const layer = { name: 1, features: 2, keys: 3, values: 4, extent: 5, version: 15 };
const feature = { id: 1, tags: 2, type: 3, geometry: 4 };
const value = { text: 1, double: 3, whole: 5 };

/** Heads of a value and of the text in it, each before its length. */
export const textField = {
  value: (layer.values << 3) | lengthDelimited,
  text: (value.text << 3) | lengthDelimited,
};
/** Heads of what a point is made of. */
export const pointFields = {
  feature: (layer.features << 3) | lengthDelimited,
  id: feature.id << 3,
  tags: (feature.tags << 3) | lengthDelimited,
  type: feature.type << 3,
  geometry: (feature.geometry << 3) | lengthDelimited,
  point,
  moveToOnce,
};

/**
 * One layer of points as Vector Tile Specification 2.1 has it. Features are written as they come; each key and each value
 * stands once, in the order in which it was first used, so that the same features give the same bytes.
 */
export class PointLayer {
  readonly #name: string;
  readonly #extent: number;
  readonly #features = new PbfWriter(new Uint8Array(1 << 16));
  readonly #keys: string[] = [];
  readonly #values = new PbfWriter(new Uint8Array(1 << 14));
  #valueCount = 0;
  readonly #valueNumbers = new Map<TileValue, number>();
  readonly #tags: number[] = [];
  #count = 0;

  constructor(name: string, extent: number) {
    this.#name = name;
    this.#extent = extent;
  }

  /** Number of a key, which has to be new. */
  key(name: string): number {
    return this.#keys.push(name) - 1;
  }

  value(property: TileValue): number {
    const known = this.#valueNumbers.get(property);
    if (known !== undefined) return known;
    this.#valueNumbers.set(property, this.#valueCount);
    writeValue(property, this.#values);
    return this.#valueCount++;
  }

  /** Adds a property to the feature that the next `point` writes. The format has no null: leave such a one out. */
  tag(key: number, property: number): void {
    this.#tags.push(key, property);
  }

  /** Writes a feature with the properties given since the last one. `id` is a whole number of at least 0. */
  point(id: number, x: number, y: number): void {
    const out = this.#features;
    // A feature is written by the bytes: the heads of its three messages, the id, the place, and its tags.
    out.realloc(48 + 5 * this.#tags.length);
    const start = beginMessage(out, layer.features);
    out.writeVarintField(feature.id, id);
    const tags = beginMessage(out, feature.tags);
    let at = out.pos;
    for (const number of this.#tags) at = putVarint(out.buf, at, number);
    out.pos = at;
    endMessage(out, tags);
    out.writeVarintField(feature.type, point);
    const geometry = beginMessage(out, feature.geometry);
    at = putVarint(out.buf, out.pos, moveToOnce);
    at = putVarint(out.buf, at, zigzag(x));
    out.pos = putVarint(out.buf, at, zigzag(y));
    endMessage(out, geometry);
    endMessage(out, start);
    this.#tags.length = 0;
    this.#count += 1;
  }

  /** The tile of this layer alone; no bytes where the layer is empty. */
  finish(): Uint8Array {
    if (this.#count === 0) return new Uint8Array(0);
    return tileOf({
      name: this.#name,
      extent: this.#extent,
      features: this.#features.finish(),
      keys: this.#keys,
      values: [this.#values.finish()],
    });
  }
}

/** A layer as it stands in a tile: features and values are written fields, the values in pieces. */
interface WrittenLayer {
  name: string;
  extent: number;
  features: Uint8Array;
  keys: readonly string[];
  values: readonly Uint8Array[];
}

/** The tile of one layer alone. */
export function tileOf({ name, extent, features, keys, values }: WrittenLayer): Uint8Array {
  const bytes = values.reduce((sum, piece) => sum + piece.length, features.length);
  const out = new PbfWriter(Buffer.allocUnsafe(bytes + (1 << 10)));
  // Its length stands before it: what is short is written first to be measured.
  const [head, middle, end] = [new PbfWriter(), new PbfWriter(), new PbfWriter()];
  head.writeVarintField(layer.version, 2);
  head.writeStringField(layer.name, name);
  for (const key of keys) middle.writeStringField(layer.keys, key);
  end.writeVarintField(layer.extent, extent);
  const pieces = [head.finish(), features, middle.finish(), ...values, end.finish()];
  out.writeTag(tile.layers, lengthDelimited);
  out.writeVarint(pieces.reduce((sum, piece) => sum + piece.length, 0));
  for (const piece of pieces) appendBytes(out, piece);
  return out.finish();
}

/** Begins a message that is nearly always shorter than 128 bytes; gives the place of its length. */
function beginMessage(out: PbfWriter, field: number): number {
  out.writeTag(field, lengthDelimited);
  out.realloc(1);
  return out.pos++;
}

function endMessage(out: PbfWriter, lengthAt: number): void {
  const length = out.pos - lengthAt - 1;
  if (length < 128) {
    out.buf[lengthAt] = length;
    return;
  }
  const bytes = out.buf.slice(lengthAt + 1, out.pos);
  out.pos = lengthAt;
  out.writeVarint(length);
  appendBytes(out, bytes);
}

/** Bytes that are fields already. */
function appendBytes(out: PbfWriter, bytes: Uint8Array): void {
  out.realloc(bytes.length);
  out.buf.set(bytes, out.pos);
  out.pos += bytes.length;
}

/** Writes a whole number of at least 0 where there is room for it; gives the place behind it. */
export function putVarint(bytes: Uint8Array, at: number, number: number): number {
  while (number > 0x7fff_ffff) {
    bytes[at++] = (number % 128) | 128;
    number = Math.floor(number / 128);
  }
  while (number > 127) {
    bytes[at++] = (number & 127) | 128;
    number >>>= 7;
  }
  bytes[at] = number;
  return at + 1;
}

/** Small numbers of either sign as small whole ones: 0, -1, 1, -2 become 0, 1, 2, 3. */
export function zigzag(number: number): number {
  return (number << 1) ^ (number >> 31);
}

export function writeValue(property: TileValue, out: PbfWriter): void {
  const start = beginMessage(out, layer.values);
  if (typeof property === 'string') out.writeStringField(value.text, property);
  else if (Number.isSafeInteger(property) && property >= 0) out.writeVarintField(value.whole, property);
  else out.writeDoubleField(value.double, property);
  endMessage(out, start);
}
