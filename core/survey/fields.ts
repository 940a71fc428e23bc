/** Character codes of the delimiters that point files use. */
export const delimiters = { comma: 44, semicolon: 59, tab: 9, space: 32 } as const;

const quote = 34;

/** Start and end of each field of the line last split, blanks and enclosing quotes trimmed off. */
export interface FieldBounds {
  start: Int32Array;
  end: Int32Array;
  /** How many fields the line has; with `restFrom` at most that many + 1. */
  count: number;
}

export function makeBounds(capacity = 64): FieldBounds {
  return { start: new Int32Array(capacity), end: new Int32Array(capacity), count: 0 };
}

export interface SplitRule {
  delimiter: number;
  /** Index of a last field that keeps everything after it, delimiters included; -1 for none. */
  restFrom: number;
}

/**
 * Splits text[start, end), one line. A field is quoted only when it opens AND closes with a quote on this line: a lone
 * inch mark is text, and can never swallow the next row. Fields past the capacity are counted, not kept.
 */
export function splitLine(
  text: string,
  start: number,
  end: number,
  rule: SplitRule,
  into: FieldBounds,
): void {
  const { delimiter, restFrom } = rule;
  let at = start;
  into.count = 0;
  for (;;) {
    at = skipBlanks(text, at, end, delimiter);
    let stop: number;
    let next: number;
    const closing = text.charCodeAt(at) === quote && at < end ? closingQuote(text, at, end, delimiter) : -1;
    if (into.count === restFrom) {
      stop = end;
      next = end + 1;
      if (closing >= 0 && skipBlanks(text, closing + 1, end, delimiter) === end) {
        at++;
        stop = closing;
      }
    } else if (closing >= 0) {
      at++;
      stop = closing;
      next = skipBlanks(text, closing + 1, end, delimiter) + 1;
    } else {
      stop = at;
      while (stop < end && text.charCodeAt(stop) !== delimiter) stop++;
      next = stop + 1;
    }
    keep(text, at, stop, into);
    // A run of spaces is one delimiter, so trailing spaces open no further field.
    if (delimiter === delimiters.space) next = Math.max(next, skipBlanks(text, stop + 1, end, delimiter));
    if (next > end || (delimiter === delimiters.space && next === end)) return;
    at = next;
  }
}

function keep(text: string, start: number, end: number, into: FieldBounds): void {
  const { count } = into;
  into.count = count + 1;
  if (count >= into.start.length) return;
  let stop = end;
  while (stop > start && isBlank(text.charCodeAt(stop - 1))) stop--;
  into.start[count] = start;
  into.end[count] = stop;
}

function isBlank(character: number): boolean {
  return character === 32 || character === 9 || character === 0xa0;
}

function skipBlanks(text: string, from: number, end: number, delimiter: number): number {
  let at = from;
  while (at < end) {
    const character = text.charCodeAt(at);
    if (!isBlank(character) || (character === delimiter && delimiter === delimiters.tab)) break;
    at++;
  }
  return at;
}

/** Place of the quote that closes the one at `open`, when a delimiter or the line's end follows it; else -1. */
function closingQuote(text: string, open: number, end: number, delimiter: number): number {
  for (let at = open + 1; at < end; at++) {
    if (text.charCodeAt(at) !== quote) continue;
    if (at + 1 < end && text.charCodeAt(at + 1) === quote) {
      at++;
      continue;
    }
    const after = skipBlanks(text, at + 1, end, delimiter);
    if (after >= end || text.charCodeAt(after) === delimiter || (delimiter === 32 && after > at + 1))
      return at;
    return -1;
  }
  return -1;
}

/**
 * Delimiter of a file by its first line: the first of semicolon, tab, comma that stands in it at least three times,
 * else the space. A semicolon wins over commas, which are then decimal marks.
 */
export function guessDelimiter(line: string): number {
  for (const delimiter of [delimiters.semicolon, delimiters.tab, delimiters.comma]) {
    if (line.split(String.fromCharCode(delimiter)).length > 3) return delimiter;
  }
  return line.includes(',') || !/\S\s+\S+\s+\S/.test(line.trim()) ? delimiters.comma : delimiters.space;
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
