import { partSeparator, recordSeparator } from '../store/tiles/read.ts';

const zero = 48;
const minus = 45;
const part = partSeparator.charCodeAt(0);
/** Half of the codes of both separators. */
const separators = recordSeparator.charCodeAt(0) / 2;

/** Reads the parts of a record one after the other, without cutting it up first. */
export class RecordScanner {
  readonly #text: string;
  at = 0;

  constructor(text: string) {
    this.#text = text;
  }

  /** A whole number; null where the part is blank. */
  whole(): number | null {
    const start = this.at;
    const isNegative = this.#text.charCodeAt(start) === minus;
    let at = isNegative ? start + 1 : start;
    let number = 0;
    for (let code = this.#text.charCodeAt(at); code !== part; code = this.#text.charCodeAt(++at)) {
      number = 10 * number + code - zero;
    }
    this.at = at + 1;
    if (at === start) return null;
    return isNegative ? -number : number;
  }

  /** The text up to the next separator, of parts or of records, or to the end. */
  text(): string {
    const start = this.at;
    return this.#text.slice(start, this.skip());
  }

  /** Steps over a text; gives where it ends. */
  skip(): number {
    const text = this.#text;
    let at = this.at;
    while (at < text.length && text.charCodeAt(at) >>> 1 !== separators) at += 1;
    this.at = at + 1;
    return at;
  }

  /** Steps over the next text where it is this one. */
  skipIf(known: string): boolean {
    const end = this.at + known.length;
    if (end < this.#text.length && this.#text.charCodeAt(end) >>> 1 !== separators) return false;
    if (!this.#text.startsWith(known, this.at)) return false;
    this.at = end + 1;
    return true;
  }
}

/** Room in the low digits of a sort key for the number of a record. */
const room = 2 ** 22;

/** Where the records begin, in the order of the whole numbers that they begin with. */
export function inOrder(text: string): Float64Array {
  if (text === '') return new Float64Array(0);
  const starts: number[] = [];
  for (let at = 0; at > 0 || starts.length === 0; at = text.indexOf(recordSeparator, at) + 1) starts.push(at);
  const scanner = new RecordScanner(text);
  const keys = new Float64Array(starts.length);
  for (let index = 0; index < keys.length; index++) {
    scanner.at = starts[index];
    keys[index] = scanner.whole()! * room + index;
  }
  keys.sort();
  for (let index = 0; index < keys.length; index++) keys[index] = starts[keys[index] % room];
  return keys;
}
