import { partSeparator, recordSeparator } from '../store/tiles/read.ts';

const zero = 48;
const minus = 45;
const part = partSeparator.charCodeAt(0);

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

  /** Steps over a text that another part follows; gives where it ends. */
  skip(): number {
    const text = this.#text;
    let at = this.at;
    while (text.charCodeAt(at) !== part) at += 1;
    this.at = at + 1;
    return at;
  }
}

/** Where the records begin and end, in the order of the whole numbers that they begin with. */
export function inOrder(text: string): { starts: Uint32Array; ends: Uint32Array } {
  const found: number[] = text === '' ? [] : [0];
  for (let at = text.indexOf(recordSeparator); at !== -1; at = text.indexOf(recordSeparator, at + 1)) {
    found.push(at + 1);
  }
  const scanner = new RecordScanner(text);
  // Sorted are numbers that say both: the one that a record begins with, and in their low digits which record that is.
  const room = found.length;
  const keys = new Float64Array(room);
  for (let index = 0; index < keys.length; index++) {
    scanner.at = found[index];
    keys[index] = scanner.whole()! * room + index;
  }
  keys.sort();
  found.push(text.length + 1);
  const order = { starts: new Uint32Array(keys.length), ends: new Uint32Array(keys.length) };
  for (let k = 0; k < keys.length; k++) {
    const index = keys[k] % room;
    order.starts[k] = found[index];
    order.ends[k] = found[index + 1] - 1;
  }
  return order;
}
