import type { ByteSource, PointSet, RawShot } from '#core/intake/types.ts';

/** Bytes or text in memory as a file; `chunk` sets how many bytes come at a time. */
export function memorySource(content: string | Uint8Array, name = 'file', chunk = 1000): ByteSource {
  const all = typeof content === 'string' ? new TextEncoder().encode(content) : content;
  return {
    name,
    size: all.length,
    bytes: async (offset, length) => all.slice(offset, offset + length),
    async *chunks() {
      for (let at = 0; at < all.length; at += chunk) yield all.subarray(at, at + chunk);
    },
  };
}

/** A file of `size` bytes that repeats one piece after a beginning; `asked` counts the bytes handed out. */
export function endlessSource(beginning: string, piece: string, size: number) {
  const first = new TextEncoder().encode(beginning);
  const repeated = new TextEncoder().encode(piece.repeat(Math.ceil(65_536 / piece.length)));
  const asked = { bytes: 0 };
  const source: ByteSource = {
    name: 'endless',
    size,
    bytes: async (offset, length) => first.slice(offset, offset + length),
    async *chunks() {
      yield first;
      for (let given = first.length; given < size; given += repeated.length) {
        asked.bytes = given;
        yield repeated;
      }
    },
  };
  return { source, asked };
}

export async function allShots(set: PointSet): Promise<RawShot[]> {
  const shots: RawShot[] = [];
  for await (const batch of set.shots()) shots.push(...batch);
  return shots;
}
