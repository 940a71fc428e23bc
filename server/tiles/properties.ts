import { PbfWriter } from 'pbf';
import type { CoverColumns, CoverTexts } from './columns.ts';
import { unplanned } from './encode.ts';
import { putVarint, type TileValue, writeValue } from './layer.ts';

/** Of them in a metre. */
const tenthsOfMillimetre = 10_000;

/** Keys of a tile of covers, each below 128 so that its number is one byte. */
export const keys = ['status', 'id', 'kind', 'owner', 'street', 'netBuildupM'];
const [statusKey, , kindKey, ownerKey, streetKey, buildupKey] = keys.keys();
export const idKey = keys.indexOf('id');

/** Most bytes of the number of a key and that of its value. */
const mostPairBytes = 6;
export const mostPropertyBytes = keys.length * mostPairBytes;

/** Values of one tile, in the order in which they are first used. */
class Values {
  readonly #written = new PbfWriter(Buffer.allocUnsafe(1 << 12));
  readonly #numbers = new Map<TileValue, number>();

  get count(): number {
    return this.#numbers.size;
  }

  number(value: TileValue): number {
    const known = this.#numbers.get(value);
    if (known !== undefined) return known;
    writeValue(value, this.#written);
    this.#numbers.set(value, this.#numbers.size);
    return this.#numbers.size - 1;
  }

  finish(): Uint8Array {
    return this.#written.finish();
  }
}

/** Pairs of a key and a value as they stand in features, written once for all covers that have them in common. */
export class Pairs {
  /** Those of the k-th begin at `k * room`. */
  readonly bytes: Uint8Array;
  readonly lengths: Uint8Array;
  readonly room: number;
  readonly #values: Values;

  constructor(values: Values, { count, most }: { count: number; most: number }) {
    this.#values = values;
    this.room = most * mostPairBytes;
    this.bytes = Buffer.allocUnsafe(count * this.room);
    this.lengths = new Uint8Array(count);
  }

  /** Adds one to the k-th; none for an unknown text. */
  add(k: number, key: number, value: TileValue): void {
    if (value === '') return;
    const start = k * this.room;
    let at = start + this.lengths[k];
    this.bytes[at] = key;
    at = putVarint(this.bytes, at + 1, this.#values.number(value));
    this.lengths[k] = at - start;
  }
}

/**
 * What the features of one tile have in common. Ids come behind all these values, so that what stands in many features is
 * the shorter number.
 */
export class Properties {
  readonly values = new Values();
  readonly statuses: Pairs;
  readonly texts: Pairs;
  readonly buildups: Pairs;

  constructor(columns: CoverColumns, chosen: Uint32Array) {
    const { statuses, distinctStatuses, texts, distinctTexts, buildups, distinctBuildups } = columns;
    this.statuses = new Pairs(this.values, { count: distinctStatuses.length, most: 1 });
    this.texts = new Pairs(this.values, { count: distinctTexts.length, most: 3 });
    this.buildups = new Pairs(this.values, { count: distinctBuildups.length, most: 1 });
    for (let k = 0; k < chosen.length; k++) {
      const [status, text, buildup] = [statuses[chosen[k]], texts[chosen[k]], buildups[chosen[k]]];
      if (this.statuses.lengths[status] === 0)
        this.statuses.add(status, statusKey, distinctStatuses[status] || unplanned);
      if (this.texts.lengths[text] === 0) this.#addTexts(text, distinctTexts[text]);
      if (this.buildups.lengths[buildup] > 0) continue;
      const tenths = distinctBuildups[buildup];
      if (tenths !== null) this.buildups.add(buildup, buildupKey, tenths / tenthsOfMillimetre);
    }
  }

  #addTexts(number: number, { kind, owner, street }: CoverTexts): void {
    this.texts.add(number, kindKey, kind);
    this.texts.add(number, ownerKey, owner);
    this.texts.add(number, streetKey, street);
  }
}
