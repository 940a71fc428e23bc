import type { ByteSource } from './types.ts';
import type { ZipEntry } from './zipDirectory.ts';

const pieceBytes = 1 << 16;

/** What is wrong with the bytes of an entry. */
export class ZipFault extends Error {}

/** The bytes of an entry, expanded piece by piece; stops as soon as there are more than it claims. @throws ZipFault */
export async function* entryChunks(source: ByteSource, entry: ZipEntry): AsyncGenerator<Uint8Array> {
  const start = await dataStart(source, entry);
  const packed = pieces(source, start, start + entry.compressedBytes);
  const check = new Crc32();
  let length = 0;
  for await (const piece of entry.method === 0 ? packed : inflate(packed)) {
    length += piece.length;
    if (length > entry.expandedBytes) throw new ZipFault('it expands to more than it claims');
    check.add(piece);
    yield piece;
  }
  if (length !== entry.expandedBytes) throw new ZipFault('it is shorter than it claims');
  if (check.value() !== entry.crc) throw new ZipFault('its checksum is wrong');
}

async function dataStart(source: ByteSource, { offset, compressedBytes }: ZipEntry): Promise<number> {
  const head = await source.bytes(offset, 30);
  const view = new DataView(head.buffer, head.byteOffset, head.byteLength);
  if (head.length < 30 || view.getUint32(0, true) !== 0x04034b50) throw new ZipFault('its header is missing');
  const start = offset + 30 + view.getUint16(26, true) + view.getUint16(28, true);
  if (start + compressedBytes > source.size) throw new ZipFault('it runs past the end of the archive');
  return start;
}

async function* pieces(source: ByteSource, start: number, end: number): AsyncGenerator<Uint8Array> {
  for (let at = start; at < end; at += pieceBytes) {
    const piece = await source.bytes(at, Math.min(pieceBytes, end - at));
    if (piece.length === 0) throw new ZipFault('the archive is shorter than it was');
    yield piece;
  }
}

async function* inflate(packed: AsyncGenerator<Uint8Array>): AsyncGenerator<Uint8Array> {
  const input = new ReadableStream<Uint8Array<ArrayBuffer>>({
    async pull(controller) {
      const { done, value } = await packed.next();
      if (done) controller.close();
      else controller.enqueue(value as Uint8Array<ArrayBuffer>);
    },
  });
  const reader = input.pipeThrough(new DecompressionStream('deflate-raw')).getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read().catch((error: unknown) => {
        throw error instanceof ZipFault ? error : new ZipFault('its compressed bytes are damaged');
      });
      if (done) return;
      yield value;
    }
  } finally {
    await reader.cancel().catch(() => {});
  }
}

const crcTable = Uint32Array.from({ length: 256 }, (_, index) => {
  let value = index;
  for (let bit = 0; bit < 8; bit++) value = value & 1 ? 0xedb88320 ^ (value >>> 1) : value >>> 1;
  return value;
});

/** Checksum of zip entries: ISO 3309, reflected polynomial EDB88320. */
class Crc32 {
  #state = 0xffffffff;

  add(bytes: Uint8Array): void {
    let state = this.#state;
    for (const byte of bytes) state = crcTable[(state ^ byte) & 0xff] ^ (state >>> 8);
    this.#state = state;
  }

  value(): number {
    return (this.#state ^ 0xffffffff) >>> 0;
  }
}
