import type { ByteSource } from './types.ts';

/** Bytes decoded at once. */
const pieceBytes = 1 << 16;
/** Bytes at the start of a file that say how its text is encoded. */
const headBytes = 512;

/** The first bytes of a file, up to `length`. */
export function headOf(source: ByteSource, length = headBytes): Promise<Uint8Array> {
  return source.bytes(0, Math.min(length, source.size));
}

/** Bytes as text one character a byte, with the zeros of UTF-16 left out: for looking at the head of a file. */
export function plainHead(head: Uint8Array): string {
  let text = '';
  for (const byte of head) if (byte !== 0) text += String.fromCharCode(byte);
  return text;
}

/** Name of the encoding that a byte order mark or, for XML, the zeros beside `<` show; null for none. */
export function encodingOfMark(head: Uint8Array): 'utf-8' | 'utf-16le' | 'utf-16be' | null {
  const [a, b, c] = head;
  if (a === 0xef && b === 0xbb && c === 0xbf) return 'utf-8';
  if ((a === 0xff && b === 0xfe) || (a === 0x3c && b === 0)) return 'utf-16le';
  if ((a === 0xfe && b === 0xff) || (a === 0 && b === 0x3c)) return 'utf-16be';
  return null;
}

/** Encoding of an XML file by its mark, else by its declaration, else UTF-8; null when it declares an unknown one. */
export function xmlEncoding(head: Uint8Array): string | null {
  const marked = encodingOfMark(head);
  if (marked) return marked;
  const declared = /^\s*<\?xml[^>]*?encoding\s*=\s*["']([^"']+)["']/.exec(plainHead(head))?.[1] ?? 'utf-8';
  // The declaration was readable byte by byte, so it cannot be in UTF-16 whatever it says.
  if (/^utf-?16/i.test(declared)) return 'utf-8';
  try {
    return new TextDecoder(declared).encoding;
  } catch {
    return null;
  }
}

/** The text of a file in pieces; a byte order mark is left out. @throws RangeError for an unknown encoding */
export async function* textChunks(source: ByteSource, encoding: string): AsyncGenerator<string> {
  const decoder = new TextDecoder(encoding);
  for await (const chunk of source.chunks()) {
    for (let at = 0; at < chunk.length; at += pieceBytes) {
      const text = decoder.decode(chunk.subarray(at, at + pieceBytes), { stream: true });
      if (text !== '') yield text;
    }
  }
  const rest = decoder.decode();
  if (rest !== '') yield rest;
}
