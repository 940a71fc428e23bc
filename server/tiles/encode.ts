import { statusCodes } from '#shared/status.ts';
import { type TileAddress, tileExtent } from '../store/tiles/area.ts';
import { placeBits } from '../store/tiles/places.ts';
import type { CountTuple } from '../store/tiles/read.ts';
import { PointLayer } from './layer.ts';
import { inOrder, RecordScanner } from './records.ts';

/** Names of the layers: covers from zoom 13 on, counts before. */
export const layerNames = { covers: 'covers', counts: 'counts' } as const;

/** Status of a cover that has none, as tiles and their filter call it. */
export const unplanned = 'unplanned';

/** Of them in a metre. */
const tenthsOfMillimetre = 10_000;

/**
 * A tile with each cover as a point, in the order of their numbers. `drawn` is what the store gathers: read where it
 * stands, since a tile may have ten thousand covers and waits for this.
 */
export function encodeCovers({ z, x, y }: TileAddress, drawn: string): Uint8Array {
  const layer = new PointLayer(layerNames.covers, tileExtent);
  const side = 2 ** (placeBits - z);
  const unit = side / tileExtent;
  const [west, north] = [x * side, y * side];
  const [status, id, kind, owner, street] = ['status', 'id', 'kind', 'owner', 'street'].map((k) =>
    layer.key(k),
  );
  const buildup = layer.key('netBuildupM');
  const none = layer.value(unplanned);
  const scanner = new RecordScanner(drawn);
  const buildups = new Map<number, number>();
  const statuses = new RecentTexts(layer, none);
  const others = [kind, owner, street].map((key) => ({ key, texts: new RecentTexts(layer, null) }));
  for (const start of inOrder(drawn)) {
    scanner.at = start;
    const number = scanner.whole()!;
    const inX = Math.floor((scanner.whole()! - west) / unit);
    const inY = Math.floor((scanner.whole()! - north) / unit);
    const tenths = scanner.whole();
    layer.tag(status, statuses.next(scanner)!);
    layer.tag(id, layer.ownText(drawn, scanner.at, scanner.skip()));
    for (const { key, texts } of others) {
      const value = texts.next(scanner);
      if (value !== null) layer.tag(key, value);
    }
    if (tenths !== null) {
      const value = buildups.get(tenths) ?? layer.value(tenths / tenthsOfMillimetre);
      buildups.set(tenths, value);
      layer.tag(buildup, value);
    }
    layer.point(number, inX, inY);
  }
  return layer.finish();
}

/** So many texts are held against the next one before it is cut out and looked up. */
const mostRecent = 6;

/**
 * Numbers of the values of one key. Neighbours in the register are of one street and one owner: the next text is mostly
 * one of the last few, and need not be cut out of its record then.
 */
class RecentTexts {
  readonly #layer: PointLayer;
  readonly #blank: number | null;
  readonly #texts: string[] = [];
  readonly #numbers: number[] = [];

  /** `blank`: what stands for no text. */
  constructor(layer: PointLayer, blank: number | null) {
    this.#layer = layer;
    this.#blank = blank;
  }

  next(scanner: RecordScanner): number | null {
    const [texts, numbers] = [this.#texts, this.#numbers];
    for (let k = 0; k < texts.length; k++) {
      if (!scanner.skipIf(texts[k])) continue;
      const number = numbers[k];
      if (k > 0) this.#lead(k);
      return number;
    }
    const text = scanner.text();
    if (text === '') return this.#blank;
    if (texts.length < mostRecent) texts.push(text);
    else texts[mostRecent - 1] = text;
    numbers[texts.length - 1] = this.#layer.value(text);
    const number = numbers[texts.length - 1];
    this.#lead(texts.length - 1);
    return number;
  }

  /** Puts one before all others, since it will come again soonest. */
  #lead(at: number): void {
    const [text, number] = [this.#texts[at], this.#numbers[at]];
    for (let k = at; k > 0; k--) {
      this.#texts[k] = this.#texts[k - 1];
      this.#numbers[k] = this.#numbers[k - 1];
    }
    this.#texts[0] = text;
    this.#numbers[0] = number;
  }
}

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
