import { partSeparator } from '../store/tiles/read.ts';
import { putVarint, textField } from './layer.ts';
import { inOrder, RecordScanner } from './records.ts';

/** Texts of a cover as the register has them, '' for one that is unknown. */
export interface CoverTexts {
  kind: string;
  owner: string;
  street: string;
}

/** Whole numbers of at least 0, as narrow as they allow. */
export type Numbers = Uint16Array | Uint32Array | Float64Array;

/**
 * Covers in the order of their numbers, a column a property: tiles of every zoom are put together from these without a
 * look at a row. Places are as in the tables. Statuses, texts and buildups (tenths of a millimetre, null for an unknown one)
 * are numbers in the lists of the distinct ones.
 */
export interface CoverColumns {
  count: number;
  numbers: Numbers;
  xs: Int32Array;
  ys: Int32Array;
  statuses: Numbers;
  distinctStatuses: string[];
  texts: Numbers;
  distinctTexts: CoverTexts[];
  buildups: Numbers;
  distinctBuildups: (number | null)[];
  /** Each one's id as a value of a tile, one behind the other; that of cover k begins at `idStarts[k]`. */
  ids: Uint8Array;
  idStarts: Uint32Array;
}

/** Bytes of memory that columns take, about. */
export function bytesOf({
  numbers,
  xs,
  ys,
  statuses,
  texts,
  buildups,
  ids,
  idStarts,
  ...lists
}: CoverColumns): number {
  const columns = [numbers, xs, ys, statuses, texts, buildups, ids, idStarts];
  const bytes = columns.reduce((sum, { byteLength }) => sum + byteLength, 0);
  return bytes + 80 * lists.distinctTexts.length + 8 * lists.distinctBuildups.length + 1000;
}

/** Columns of covers as the table draws them, in whatever order these come. */
export function readColumns(drawn: string): CoverColumns {
  const { starts, ends } = inOrder(drawn);
  const count = starts.length;
  const [xs, ys, idStarts] = [new Int32Array(count), new Int32Array(count), new Uint32Array(count + 1)];
  const numbers = new Float64Array(count);
  const [ofStatus, ofTexts, ofBuildup] = [0, 1, 2].map(() => new Uint32Array(count));
  const scanner = new RecordScanner(drawn);
  const [statuses, texts] = [new CommonTexts(drawn), new CommonTexts(drawn)];
  const buildups = new Map<number | null, number>();
  const ids = new IdValues(drawn);
  for (let k = 0; k < count; k++) {
    scanner.at = starts[k];
    numbers[k] = scanner.whole()!;
    xs[k] = scanner.whole()!;
    ys[k] = scanner.whole()!;
    ofBuildup[k] = numberOf(buildups, scanner.whole());
    const statusAt = scanner.at;
    ofStatus[k] = statuses.numberOf(statusAt, scanner.skip());
    const idAt = scanner.at;
    ids.add(idAt, scanner.skip());
    idStarts[k + 1] = ids.length;
    ofTexts[k] = texts.numberOf(scanner.at, ends[k]);
  }
  return {
    count,
    numbers: narrow(numbers),
    xs,
    ys,
    statuses: narrow(ofStatus),
    distinctStatuses: statuses.distinct,
    texts: narrow(ofTexts),
    distinctTexts: readTexts(texts.distinct),
    buildups: narrow(ofBuildup),
    distinctBuildups: [...buildups.keys()],
    ids: ids.bytes(),
    idStarts,
  };
}

function narrow(numbers: Numbers): Numbers {
  let most = 0;
  for (let k = 0; k < numbers.length; k++) most = Math.max(most, numbers[k]);
  if (most < 2 ** 16) return new Uint16Array(numbers);
  return most < 2 ** 32 ? new Uint32Array(numbers) : numbers;
}

function numberOf(known: Map<number | null, number>, value: number | null): number {
  const found = known.get(value);
  if (found !== undefined) return found;
  known.set(value, known.size);
  return known.size - 1;
}

function readTexts(distinct: readonly string[]): CoverTexts[] {
  // Each kind, owner and street once: most of them stand in many texts.
  const once = new Map<string, string>();
  const kept = (text: string) => {
    const found = once.get(text);
    if (found === undefined) once.set(text, text);
    return found ?? text;
  };
  return distinct.map((text) => {
    const [kind, owner, street] = text.split(partSeparator);
    return { kind: kept(kind), owner: kept(owner), street: kept(street) };
  });
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
