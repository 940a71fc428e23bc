/**
 * Compressed blocks back to bytes, never more than `most`: a block that claims to unpack to more is damaged or worse.
 * All throw a RangeError on data that is not what it says; the reader turns that into a problem.
 */

const clearCode = 256;
const endCode = 257;
const mostCodes = 4096;

/** LZW as TIFF 6.0 (section 13) defines it: codes of 9 to 12 bits, high bits first, one code early. */
export function unpackLzw(packed: Uint8Array, most: number): Uint8Array {
  const out = new Uint8Array(most);
  // A code's string ends where it was first written, so its place and length in the output stand for it.
  const starts = new Uint32Array(mostCodes);
  const lengths = new Uint32Array(mostCodes);
  let filled = 0;
  let next = endCode + 1;
  let width = 9;
  let previous = -1;
  let bits = 0;
  let held = 0;
  for (let at = 0; ; ) {
    while (bits < width) {
      // Files without an end code end with their bytes.
      if (at >= packed.length) return out.subarray(0, filled);
      held = ((held << 8) | packed[at++]) & 0xffffff;
      bits += 8;
    }
    bits -= width;
    const code = (held >>> bits) & ((1 << width) - 1);
    if (code === endCode) return out.subarray(0, filled);
    if (code === clearCode) {
      next = endCode + 1;
      width = 9;
      previous = -1;
      continue;
    }
    const begin = filled;
    if (code < clearCode) {
      if (filled >= most) throw new RangeError('a block unpacks to more than it should');
      out[filled++] = code;
    } else {
      const isNew = code === next && previous >= 0;
      if (code > next || (code === next && !isNew))
        throw new RangeError('a block holds an LZW code before its string');
      // A string not yet entered is the one before with its own first byte again.
      const length = isNew ? lengthOf(previous, lengths) + 1 : lengths[code];
      const from = isNew ? begin - length + 1 : starts[code];
      if (filled + length > most) throw new RangeError('a block unpacks to more than it should');
      for (let i = 0; i < length; i++) out[filled++] = out[from + i];
    }
    if (previous >= 0 && next < mostCodes) {
      const length = lengthOf(previous, lengths);
      starts[next] = begin - length;
      lengths[next] = length + 1;
      next++;
      if (next + 1 >= 1 << width && width < 12) width++;
    }
    previous = code;
  }
}

const lengthOf = (code: number, lengths: Uint32Array) => (code < clearCode ? 1 : lengths[code]);

/** PackBits as TIFF 6.0 (section 9) defines it. */
export function unpackBits(packed: Uint8Array, most: number): Uint8Array {
  const out = new Uint8Array(most);
  let filled = 0;
  for (let at = 0; at < packed.length && filled < most; ) {
    const header = packed[at++];
    if (header === 128) continue;
    const count = header < 128 ? header + 1 : 257 - header;
    if (filled + count > most) throw new RangeError('a block unpacks to more than it should');
    if (header < 128) out.set(packed.subarray(at, at + count), filled);
    else out.fill(packed[at], filled, filled + count);
    at += header < 128 ? count : 1;
    filled += count;
  }
  return out.subarray(0, filled);
}

/** Deflate with the zlib wrapper, by the platform's own decoder, stopped when it gives too much. */
export async function inflate(packed: Uint8Array, most: number): Promise<Uint8Array> {
  const out = new Uint8Array(most);
  let filled = 0;
  const stream = new Blob([packed as Uint8Array<ArrayBuffer>]).stream();
  const reader = stream.pipeThrough(new DecompressionStream('deflate')).getReader();
  for (;;) {
    const { done, value } = await reader.read().catch((error) => {
      throw new RangeError(`a block is no Deflate data: ${(error as Error).message}`);
    });
    if (done) return out.subarray(0, filled);
    if (filled + value.length > most) {
      await reader.cancel();
      throw new RangeError('a block unpacks to more than it should');
    }
    out.set(value, filled);
    filled += value.length;
  }
}
