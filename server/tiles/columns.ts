import { partSeparator } from '../store/tiles/read.ts';
import { putVarint, textField } from './layer.ts';
import { inOrder, RecordScanner } from './records.ts';

/** Texts of a cover as the register has them, '' for one that is unknown. */
export interface CoverTexts {
  kind: string;
  owner: string;
  street: string;
}

/**
 * Covers in the order of their numbers, a column a property: tiles of every zoom are put together from these without a
 * look at a row. Places are as in the tables. Statuses, texts and buildups (tenths of a millimetre) are numbers in the
 * lists of the distinct ones; a buildup that is unknown is `noBuildup`.
 */
export interface CoverColumns {
  count: number;
  numbers: Float64Array;
  xs: Int32Array;
  ys: Int32Array;
  statuses: Uint32Array;
  distinctStatuses: string[];
  texts: Uint32Array;
  distinctTexts: CoverTexts[];
  buildups: Uint32Array;
  distinctBuildups: number[];
  /** Each one's id as a value of a tile, one behind the other; that of cover k begins at `idStarts[k]`. */
  ids: Uint8Array;
  idStarts: Uint32Array;
}

export const noBuildup = 0xffff_ffff;

/** Bytes of memory that columns take, about. */
export function bytesOf({ count, ids, distinctTexts, distinctBuildups }: CoverColumns): number {
  return count * 32 + ids.length + 150 * distinctTexts.length + 8 * distinctBuildups.length + 500;
}

/** Columns of covers as the table draws them, in whatever order these come. */
export function readColumns(drawn: string): CoverColumns {
  const { starts, ends } = inOrder(drawn);
  const count = starts.length;
  const columns = {
    count,
    numbers: new Float64Array(count),
    xs: new Int32Array(count),
    ys: new Int32Array(count),
    statuses: new Uint32Array(count),
    texts: new Uint32Array(count),
    buildups: new Uint32Array(count),
    idStarts: new Uint32Array(count + 1),
  };
  const scanner = new RecordScanner(drawn);
  const [statuses, texts] = [new CommonTexts(drawn), new CommonTexts(drawn)];
  const buildups = new Map<number, number>();
  const ids = new IdValues(drawn);
  for (let k = 0; k < count; k++) {
    scanner.at = starts[k];
    columns.numbers[k] = scanner.whole()!;
    columns.xs[k] = scanner.whole()!;
    columns.ys[k] = scanner.whole()!;
    const tenths = scanner.whole();
    columns.buildups[k] = tenths === null ? noBuildup : numberOf(buildups, tenths);
    const statusAt = scanner.at;
    columns.statuses[k] = statuses.numberOf(statusAt, scanner.skip());
    const idAt = scanner.at;
    ids.add(idAt, scanner.skip());
    columns.idStarts[k + 1] = ids.length;
    columns.texts[k] = texts.numberOf(scanner.at, ends[k]);
  }
  return {
    ...columns,
    ids: ids.bytes(),
    distinctStatuses: statuses.distinct,
    distinctTexts: texts.distinct.map(readTexts),
    distinctBuildups: [...buildups.keys()],
  };
}

function numberOf(known: Map<number, number>, value: number): number {
  const found = known.get(value);
  if (found !== undefined) return found;
  known.set(value, known.size);
  return known.size - 1;
}

function readTexts(text: string): CoverTexts {
  const [kind, owner, street] = text.split(partSeparator);
  return { kind, owner, street };
}

/** Letters of a text that its sum is made of, about. */
const summed = 8;

/**
 * Numbers of texts that thousands of records have in common: a few letters of each are summed up, and the whole is held
 * against the one text that was met with that sum.
 */
class CommonTexts {
  readonly #source: string;
  readonly distinct: string[] = [];
  readonly #known = new Map<number, number>();

  constructor(source: string) {
    this.#source = source;
  }

  numberOf(start: number, end: number): number {
    const source = this.#source;
    const length = end - start;
    const step = Math.max(1, Math.floor(length / summed));
    let sum = length;
    for (let at = end - 1; at >= start; at -= step) sum = (Math.imul(sum, 31) + source.charCodeAt(at)) | 0;
    for (; ; sum = (sum + 1) | 0) {
      const number = this.#known.get(sum);
      if (number === undefined) return this.#learn(sum, source.slice(start, end));
      const text = this.distinct[number];
      if (text.length === length && source.startsWith(text, start)) return number;
    }
  }

  #learn(sum: number, text: string): number {
    this.#known.set(sum, this.distinct.length);
    // A copy: a part of a long text would keep all of that in memory.
    return this.distinct.push(Buffer.from(text).toString()) - 1;
  }
}

/** Texts of ids as values of a tile. */
class IdValues {
  readonly #source: string;
  #bytes = new Uint8Array(1 << 14);
  length = 0;

  constructor(source: string) {
    this.#source = source;
  }

  add(start: number, end: number): void {
    // Three bytes a letter at most, and the heads.
    const most = 3 * (end - start) + 16;
    if (this.length + most > this.#bytes.length) {
      const grown = new Uint8Array(2 * this.#bytes.length + most);
      grown.set(this.#bytes.subarray(0, this.length));
      this.#bytes = grown;
    }
    this.length = this.#plain(start, end) ?? this.#other(start, end);
  }

  /** Of plain letters, short enough for heads of one byte each; null where it is not. */
  #plain(start: number, end: number): number | null {
    const length = end - start;
    if (length > 120) return null;
    const [bytes, source] = [this.#bytes, this.#source];
    let at = this.length;
    bytes[at++] = textField.value;
    bytes[at++] = length + 2;
    bytes[at++] = textField.text;
    bytes[at++] = length;
    for (let k = start; k < end; k++) {
      const code = source.charCodeAt(k);
      if (code > 127) return null;
      bytes[at++] = code;
    }
    return at;
  }

  #other(start: number, end: number): number {
    const bytes = this.#bytes;
    const text = new TextEncoder().encode(this.#source.slice(start, end));
    const head = putVarint(new Uint8Array(8), 0, text.length);
    let at = this.length;
    bytes[at++] = textField.value;
    at = putVarint(bytes, at, 1 + head + text.length);
    bytes[at++] = textField.text;
    at = putVarint(bytes, at, text.length);
    bytes.set(text, at);
    return at + text.length;
  }

  bytes(): Uint8Array {
    return this.#bytes.slice(0, this.length);
  }
}
