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

  /** Number of a text from `start` to `end` that no other feature has: it is written at once and not looked for. */
  ownText(source: string, start: number, end: number): number {
    writeText(this.#values, source, [start, end]);
    return this.#valueCount++;
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
    const out = new PbfWriter(new Uint8Array(this.#features.pos + this.#values.pos + (1 << 12)));
    out.writeMessage(tile.layers, () => this.#writeLayer(out), null);
    return out.finish();
  }

  #writeLayer(out: PbfWriter): void {
    out.writeVarintField(layer.version, 2);
    out.writeStringField(layer.name, this.#name);
    appendBytes(out, this.#features.finish());
    for (const key of this.#keys) out.writeStringField(layer.keys, key);
    appendBytes(out, this.#values.finish());
    out.writeVarintField(layer.extent, this.#extent);
  }
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

/** Writes a whole number below 2^32 where there is room for it; gives the place behind it. */
function putVarint(bytes: Uint8Array, at: number, number: number): number {
  while (number > 127) {
    bytes[at++] = (number & 127) | 128;
    number >>>= 7;
  }
  bytes[at] = number;
  return at + 1;
}

/** Writes a text value; one of plain letters without cutting it out of its source. */
function writeText(out: PbfWriter, source: string, [start, end]: readonly [number, number]): void {
  const length = end - start;
  out.realloc(length + 8);
  const { buf, pos } = out;
  const text = pos + 4;
  let isPlain = length < 120;
  for (let k = 0; isPlain && k < length; k++) {
    const code = source.charCodeAt(start + k);
    buf[text + k] = code;
    isPlain = code < 128;
  }
  if (!isPlain) {
    writeValue(source.slice(start, end), out);
    return;
  }
  buf[pos] = (layer.values << 3) | lengthDelimited;
  buf[pos + 1] = length + 2;
  buf[pos + 2] = (value.text << 3) | lengthDelimited;
  buf[pos + 3] = length;
  out.pos = text + length;
}

/** Small numbers of either sign as small whole ones: 0, -1, 1, -2 become 0, 1, 2, 3. */
function zigzag(number: number): number {
  return (number << 1) ^ (number >> 31);
}

function writeValue(property: TileValue, out: PbfWriter): void {
  const start = beginMessage(out, layer.values);
  if (typeof property === 'string') out.writeStringField(value.text, property);
  else if (Number.isSafeInteger(property) && property >= 0) out.writeVarintField(value.whole, property);
  else out.writeDoubleField(value.double, property);
  endMessage(out, start);
}
