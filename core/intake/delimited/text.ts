import type { Problem } from '../../problem.ts';
import { refuseFile } from '../problemLog.ts';
import type { ByteSource } from '../types.ts';

export type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252';

/** A line longer than this, in bytes, is no row of a table; nothing more is read. */
export const longestLine = 1_000_000;

const pieceBytes = 1 << 18;

/** The bytes that a file's encoding is told from. */
export const headSize = 65_536;

/**
 * Encoding by its mark, else by where the zeros stand: text of mostly Latin letters in UTF-16 has one in every other
 * byte. Bytes that are no UTF-8 turn the answer into Windows-1252 later, when they are met.
 */
export function detectEncoding(head: Uint8Array): Encoding {
  if (head[0] === 0xff && head[1] === 0xfe) return 'utf-16le';
  if (head[0] === 0xfe && head[1] === 0xff) return 'utf-16be';
  let even = 0;
  let odd = 0;
  const length = Math.min(head.length, 4096);
  for (let at = 0; at < length; at++) {
    if (head[at] !== 0) continue;
    if (at % 2 === 0) even++;
    else odd++;
  }
  if (odd > length / 5 && even < odd / 10) return 'utf-16le';
  if (even > length / 5 && odd < even / 10) return 'utf-16be';
  return 'utf-8';
}

/** Text of whole lines, or the fault that ends the reading. */
export type TextBlock = { text: string } | { problem: Problem };

/**
 * A file's text in blocks that end with a line, whatever ends it (LF, CRLF, CR, mixed), in memory of a few chunks.
 * `notice` hears of bytes that are not what the encoding says.
 */
export async function* textBlocks(
  source: ByteSource,
  notice: (problem: Problem) => void,
): AsyncGenerator<TextBlock> {
  const encoding = detectEncoding(await source.bytes(0, Math.min(headSize, source.size)));
  const step = encoding === 'utf-16le' || encoding === 'utf-16be' ? 2 : 1;
  const lineEnd = encoding === 'utf-16be' ? 1 : 0;
  const decode = makeDecoder(encoding, notice);
  let rest = new Uint8Array(0);
  for await (const piece of pieces(source)) {
    const bytes = joined(rest, piece);
    const cut = lastLineEnd(bytes, step, lineEnd);
    if (bytes.length - cut > longestLine) {
      const message = `a line is longer than ${longestLine.toLocaleString('en')} bytes, which no row of a table is; nothing after it is read`;
      if (cut > 0) yield { text: decode(bytes.subarray(0, cut)) };
      yield { problem: refuseFile('lineTooLong', message) };
      return;
    }
    if (cut > 0) yield { text: decode(bytes.subarray(0, cut)) };
    rest = bytes.slice(cut);
  }
  if (rest.length > 0) yield { text: decode(rest) };
}

/** However large the chunks of a source are, text is made of pieces of a size that a processor's cache holds. */
async function* pieces(source: ByteSource): AsyncGenerator<Uint8Array> {
  for await (const chunk of source.chunks()) {
    for (let at = 0; at < chunk.length; at += pieceBytes) yield chunk.subarray(at, at + pieceBytes);
  }
}

function joined(first: Uint8Array, second: Uint8Array): Uint8Array {
  if (first.length === 0) return second;
  const bytes = new Uint8Array(first.length + second.length);
  bytes.set(first);
  bytes.set(second, first.length);
  return bytes;
}

/** Place after the last line end; a CR that is the last character may still be half of a CRLF. */
function lastLineEnd(bytes: Uint8Array, step: number, low: number): number {
  const isCharacter = (at: number, code: number): boolean =>
    bytes[at + low] === code && (step === 1 || bytes[at + 1 - low] === 0);
  const last = bytes.length - (bytes.length % step) - step;
  for (let at = last; at >= 0; at -= step) {
    if (isCharacter(at, 10) || (at < last && isCharacter(at, 13))) return at + step;
  }
  return 0;
}

// A decoder would drop a mark at the start of a block only, wherever that happens to be.
const keepMarks = { ignoreBOM: true } as const;

/** Files put together from several have byte order marks in their middle; they are no part of the text. */
const withoutMarks = (text: string): string =>
  text.includes('\ufeff') ? text.replaceAll('\ufeff', '') : text;

/** Decoder of blocks that never end inside a character. */
function makeDecoder(encoding: Encoding, notice: (problem: Problem) => void): (bytes: Uint8Array) => string {
  if (encoding !== 'utf-8') {
    const decoder = new TextDecoder(encoding, keepMarks);
    return (bytes) => withoutMarks(decoder.decode(bytes));
  }
  const strict = new TextDecoder('utf-8', { fatal: true, ...keepMarks });
  const lenient = new TextDecoder('utf-8', keepMarks);
  const western = new TextDecoder('windows-1252');
  let sawUtf8 = false;
  let said = false;
  const say = (message: string): void => {
    if (!said) notice(refuseFile('encoding', message));
    said = true;
  };
  let isWestern = false;
  return (bytes) => {
    if (isWestern) return western.decode(bytes);
    try {
      const text = strict.decode(bytes);
      if (text.length === bytes.length) return text;
      sawUtf8 = true;
      return withoutMarks(text);
    } catch {
      if (sawUtf8) {
        say('some bytes are not UTF-8, though others are; they are shown as \uFFFD');
        return withoutMarks(lenient.decode(bytes));
      }
      isWestern = true;
      say('the file is not UTF-8; it is read as Windows-1252: check names with accents');
      return western.decode(bytes);
    }
  };
}
