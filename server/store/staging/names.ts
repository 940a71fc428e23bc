/** Whole numbers of a page of the bitmap. */
const pageNumbers = 1 << 16;
const wholeNumber = /^(0|[1-9]\d{0,8})$/;
const least = 1 << 12;

/**
 * Counts how often a point name came before, for millions of names in little memory: a bit for a whole number, eight
 * bytes for any other name, and a counter only for those that do come again. Two different names of one 64-bit hash
 * (for five million names a chance of one in a million) would get different counts, which tells them apart as well.
 */
export class NameCounter {
  readonly #pages = new Map<number, Uint32Array>();
  #table = new Uint32Array(2 * least);
  #held = 0;
  readonly #repeated = new Map<string, number>();

  /** 0 for the first of a name, 1 for the second, and so on. */
  next(name: string): number {
    const isNew = wholeNumber.test(name) ? this.#addNumber(Number(name)) : this.#addName(name);
    if (isNew) return 0;
    const count = (this.#repeated.get(name) ?? 0) + 1;
    this.#repeated.set(name, count);
    return count;
  }

  #addNumber(number: number): boolean {
    const at = Math.floor(number / pageNumbers);
    let page = this.#pages.get(at);
    if (page === undefined) {
      page = new Uint32Array(pageNumbers / 32);
      this.#pages.set(at, page);
    }
    const bit = number % pageNumbers;
    const mask = 1 << (bit & 31);
    if ((page[bit >>> 5] & mask) !== 0) return false;
    page[bit >>> 5] |= mask;
    return true;
  }

  #addName(name: string): boolean {
    if (this.#held * 3 > this.#table.length) this.#grow();
    const [high, low] = hash(name);
    if (!put(this.#table, high, low)) return false;
    this.#held++;
    return true;
  }

  #grow(): void {
    const table = new Uint32Array(2 * this.#table.length);
    for (let at = 0; at < this.#table.length; at += 2) {
      const [high, low] = [this.#table[at], this.#table[at + 1]];
      if (high !== 0 || low !== 0) put(table, high, low);
    }
    this.#table = table;
  }
}

/** false where the hash is there already. */
function put(table: Uint32Array, high: number, low: number): boolean {
  const slots = table.length / 2;
  for (let slot = low % slots; ; slot = slot + 1 === slots ? 0 : slot + 1) {
    const [a, b] = [table[2 * slot], table[2 * slot + 1]];
    if (a === 0 && b === 0) {
      table[2 * slot] = high;
      table[2 * slot + 1] = low;
      return true;
    }
    if (a === high && b === low) return false;
  }
}

/** Two 32-bit hashes of a text (FNV-1a and a multiplicative one with a final mix), never both 0. */
function hash(text: string): [high: number, low: number] {
  let a = 0x811c9dc5;
  let b = 0x9e3779b9;
  for (let at = 0; at < text.length; at++) {
    const code = text.charCodeAt(at);
    a = Math.imul(a ^ code, 0x01000193);
    b = Math.imul(b + code, 0x85ebca6b) ^ (b >>> 13);
  }
  b = Math.imul(b ^ (b >>> 16), 0xc2b2ae35);
  b ^= b >>> 15;
  return [a >>> 0 || 1, b >>> 0];
}
