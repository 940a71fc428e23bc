import type { ByteSource } from './types.ts';

/** Larger chunks are cut, so that what is made of one chunk stays small. */
const mostChunk = 1 << 18;

/** The bytes of a text file as UTF-8 without a byte order mark; UTF-16 with one is transcoded. */
export async function* utf8Chunks(source: ByteSource): AsyncGenerator<Uint8Array> {
  const encoding = utf16Of(await source.bytes(0, 2));
  if (encoding === null) {
    yield* withoutMark(smallChunks(source));
    return;
  }
  const decoder = new TextDecoder(encoding);
  const encoder = new TextEncoder();
  for await (const chunk of smallChunks(source))
    yield encoder.encode(decoder.decode(chunk, { stream: true }));
  yield encoder.encode(decoder.decode());
}

async function* smallChunks(source: ByteSource): AsyncGenerator<Uint8Array> {
  for await (const chunk of source.chunks())
    for (let at = 0; at < chunk.length; at += mostChunk) yield chunk.subarray(at, at + mostChunk);
}

function utf16Of(head: Uint8Array): 'utf-16le' | 'utf-16be' | null {
  if (head[0] === 0xff && head[1] === 0xfe) return 'utf-16le';
  return head[0] === 0xfe && head[1] === 0xff ? 'utf-16be' : null;
}

async function* withoutMark(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const mark = [0xef, 0xbb, 0xbf];
  let matched = 0;
  for await (const chunk of chunks) {
    let from = 0;
    while (matched < 3 && from < chunk.length) {
      if (chunk[from] !== mark[matched]) {
        if (matched > 0) yield Uint8Array.from(mark.slice(0, matched));
        matched = 3;
        break;
      }
      matched++;
      from++;
    }
    yield chunk.subarray(from);
  }
}

/** The first characters of a file for recognising it: UTF-8 or UTF-16, any mark removed. */
export function headText(head: Uint8Array): string {
  return new TextDecoder(utf16Of(head) ?? 'utf-8').decode(head.subarray(0, 4096));
}
