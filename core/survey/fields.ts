/** Character codes of the delimiters that point files use. */
export const delimiters = { comma: 44, semicolon: 59, tab: 9, pipe: 124, space: 32 } as const;

const quote = 34;

/**
 * Splits one line of a text after another, without making strings. A field is quoted only when it opens AND closes with
 * a quote on its line: a lone inch mark is text, and can never swallow the next row.
 */
export class FieldSplitter {
  /** The text being split; its lines are given by their places in it. */
  text: string;
  /** Character code between two fields; a run of spaces counts as one. */
  delimiter: number = delimiters.comma;
  /** Index of a last field that keeps the rest of the line, delimiters included; -1 for none. */
  restFrom = -1;
  /** Where the fields of the line last split start and end, blanks and enclosing quotes trimmed off. */
  readonly starts: Int32Array;
  readonly ends: Int32Array;
  /** Fields of the line last split; those past the capacity are counted, not kept. */
  count = 0;

  constructor(text: string, capacity = 64) {
    this.text = text;
    this.starts = new Int32Array(capacity);
    this.ends = new Int32Array(capacity);
  }

  /** Splits text[start, end), one line. */
  split(start: number, end: number): void {
    this.count = 0;
    let at = start;
    while (at <= end) at = this.#take(at, end);
  }

  /** Text of a field, with the doubled quotes of a quoted one made single; empty where the line has no such field. */
  field(index: number): string {
    if (index < 0 || index >= Math.min(this.count, this.starts.length)) return '';
    const field = this.text.slice(this.starts[index], this.ends[index]);
    return this.isQuoted(index) ? field.replaceAll('""', '"') : field;
  }

  isQuoted(index: number): boolean {
    return (
      this.text.charCodeAt(this.ends[index]) === quote &&
      this.text.charCodeAt(this.starts[index] - 1) === quote
    );
  }

  isBlank(index: number): boolean {
    return this.starts[index] === this.ends[index];
  }

  /** Keeps the field that starts at or after `from`; answers where the next one starts, past `end` if there is none. */
  #take(from: number, end: number): number {
    const at = this.#skipBlanks(from, end);
    const isRest = this.count === this.restFrom;
    const closing = at < end && this.text.charCodeAt(at) === quote ? this.#closingQuote(at, end) : -1;
    if (closing >= 0 && (!isRest || this.#skipBlanks(closing + 1, end) === end)) {
      this.#keep(at + 1, closing);
      return this.#next(closing + 1, end);
    }
    let stop = isRest ? end : at;
    while (stop < end && this.text.charCodeAt(stop) !== this.delimiter) stop++;
    this.#keep(at, stop);
    return this.#next(stop, end);
  }

  /** Start of the field after one that stops at `stop`. Blanks at the end of a line of spaces open no further field. */
  #next(stop: number, end: number): number {
    const after = this.#skipBlanks(stop, end);
    return this.delimiter === delimiters.space && after < end ? after : after + 1;
  }

  #keep(start: number, end: number): void {
    const index = this.count++;
    if (index >= this.starts.length) return;
    let stop = end;
    while (stop > start && isBlank(this.text.charCodeAt(stop - 1))) stop--;
    this.starts[index] = start;
    this.ends[index] = stop;
  }

  #skipBlanks(from: number, end: number): number {
    let at = from;
    while (at < end) {
      const character = this.text.charCodeAt(at);
      const isTabBetween = character === delimiters.tab && this.delimiter === delimiters.tab;
      if (!isBlank(character) || isTabBetween) break;
      at++;
    }
    return at;
  }

  /** Place of the quote that closes the one at `open`, when the field ends with it; else -1. */
  #closingQuote(open: number, end: number): number {
    for (let at = open + 1; at < end; at++) {
      if (this.text.charCodeAt(at) !== quote) continue;
      if (at + 1 < end && this.text.charCodeAt(at + 1) === quote) {
        at++;
        continue;
      }
      const after = this.#skipBlanks(at + 1, end);
      const endsField = after === end || this.text.charCodeAt(after) === this.delimiter;
      return endsField || (this.delimiter === delimiters.space && after > at + 1) ? at : -1;
    }
    return -1;
  }
}

function isBlank(character: number): boolean {
  return character === 32 || character === 9 || character === 0xa0;
}

/** Walks the lines of a text, whatever ends them (LF, CRLF, CR, mixed), past a byte order mark. Rows count from 1. */
export function forEachLine(text: string, visit: (start: number, end: number, row: number) => void): void {
  let start = text.charCodeAt(0) === 0xfeff ? 1 : 0;
  let row = 0;
  const { length } = text;
  while (start < length) {
    let end = start;
    let character = text.charCodeAt(end);
    while (end < length && character !== 10 && character !== 13) character = text.charCodeAt(++end);
    row++;
    visit(start, end, row);
    start = character === 13 && text.charCodeAt(end + 1) === 10 ? end + 2 : end + 1;
  }
}
