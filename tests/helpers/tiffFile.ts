import { deflateSync } from 'node:zlib';

/** A TIFF file of one image, written by the rules of TIFF 6.0 and OGC GeoTIFF 1.1 with nothing shared with the reader. */
export interface TiffOptions {
  columns: number;
  rows: number;
  value: (column: number, row: number, band: number) => number;
  bands?: number;
  /** 'f32', 'f64', 'i16', 'u8', ... */
  cell?: 'f32' | 'f64' | 'i16' | 'u16' | 'i32' | 'u8';
  compression?: 'none' | 'lzw' | 'deflate' | 'packbits';
  predictor?: 1 | 2;
  /** Tiles of this size; absent: strips of `rowsPerStrip`. */
  tile?: number;
  rowsPerStrip?: number;
  bigEndian?: boolean;
  bigTiff?: boolean;
  /** Further or replaced tags: number, then type and values. */
  tags?: Record<number, { type: 'short' | 'long' | 'double' | 'ascii'; values: number[] | string } | null>;
  /** Geo keys: id to value. */
  keys?: Record<number, number>;
  citation?: string;
  /** Changes the packed blocks before they are written. */
  spoil?: (block: Uint8Array, index: number) => Uint8Array;
}

const cells = { f32: [4, 3], f64: [8, 3], i16: [2, 2], u16: [2, 1], i32: [4, 2], u8: [1, 1] } as const;
const compressions = { none: 1, lzw: 5, deflate: 8, packbits: 32773 } as const;
const types = { short: [3, 2], long: [4, 4], double: [12, 8], ascii: [2, 1] } as const;

export function tiffFile(options: TiffOptions): Uint8Array {
  const {
    columns,
    rows,
    value,
    bands = 1,
    cell = 'f32',
    compression = 'none',
    bigEndian = false,
    bigTiff = false,
  } = options;
  const little = !bigEndian;
  const [bytes, format] = cells[cell];
  const width = options.tile ?? columns;
  const height = options.tile ?? options.rowsPerStrip ?? rows;
  const blocks: Uint8Array[] = [];
  for (let top = 0; top < rows; top += height)
    for (let left = 0; left < columns; left += width) {
      const lines = options.tile ? height : Math.min(height, rows - top);
      const raw = new Uint8Array(width * lines * bands * bytes);
      const view = new DataView(raw.buffer);
      for (let y = 0; y < lines; y++)
        for (let x = 0; x < width; x++)
          for (let band = 0; band < bands; band++) {
            const inside = top + y < rows && left + x < columns;
            const stored = inside ? value(left + x, top + y, band) : 0;
            const before =
              options.predictor === 2 && x > 0 && inside ? value(left + x - 1, top + y, band) : 0;
            put(view, ((y * width + x) * bands + band) * bytes, stored - before, cell, little);
          }
      const packed = pack(raw, compression);
      blocks.push(options.spoil ? options.spoil(packed, blocks.length) : packed);
    }
  const head = bigTiff ? 16 : 8;
  const offsets: number[] = [];
  let at = head;
  for (const block of blocks) {
    offsets.push(at);
    at += block.length + (block.length % 2);
  }
  const counts = blocks.map((b) => b.length);
  const all: NonNullable<TiffOptions['tags']> = {
    256: { type: 'long', values: [columns] },
    257: { type: 'long', values: [rows] },
    258: { type: 'short', values: Array(bands).fill(8 * bytes) },
    259: { type: 'short', values: [compressions[compression]] },
    262: { type: 'short', values: [1] },
    277: { type: 'short', values: [bands] },
    284: { type: 'short', values: [1] },
    339: { type: 'short', values: Array(bands).fill(format) },
    33550: { type: 'double', values: [2, 3, 0] },
    33922: { type: 'double', values: [0, 0, 0, 1000, 5000, 0] },
  };
  if (options.predictor) all[317] = { type: 'short', values: [options.predictor] };
  if (options.tile) {
    all[322] = { type: 'long', values: [width] };
    all[323] = { type: 'long', values: [height] };
    all[324] = { type: 'long', values: offsets };
    all[325] = { type: 'long', values: counts };
  } else {
    all[273] = { type: 'long', values: offsets };
    all[278] = { type: 'long', values: [height] };
    all[279] = { type: 'long', values: counts };
  }
  const keys = Object.entries(options.keys ?? {}).map(([id, v]) => [Number(id), 0, 1, v]);
  if (options.citation) {
    keys.push([1026, 34737, options.citation.length + 1, 0]);
    all[34737] = { type: 'ascii', values: `${options.citation}|` };
  }
  if (keys.length > 0) all[34735] = { type: 'short', values: [1, 1, 1, keys.length, ...keys.flat()] };
  const entries = Object.entries({ ...all, ...options.tags })
    .flatMap(([tag, entry]) => (entry ? [{ tag: Number(tag), ...entry }] : []))
    .sort((a, b) => a.tag - b.tag);
  return assemble({ blocks, offsets, directoryAt: at, entries, little, bigTiff });
}

interface Parts {
  blocks: Uint8Array[];
  offsets: number[];
  directoryAt: number;
  entries: { tag: number; type: keyof typeof types; values: number[] | string }[];
  little: boolean;
  bigTiff: boolean;
}

function assemble({ blocks, offsets, directoryAt, entries, little, bigTiff }: Parts): Uint8Array {
  const entrySize = bigTiff ? 20 : 12;
  const room = bigTiff ? 8 : 4;
  const countSize = bigTiff ? 8 : 2;
  const valuesAt = directoryAt + countSize + entries.length * entrySize + room;
  const lists = entries.map(({ values }) =>
    typeof values === 'string' ? [...Buffer.from(`${values}\0`, 'latin1')] : values,
  );
  const sizes = entries.map(({ type }, i) => lists[i].length * types[type][1]);
  const total = valuesAt + sizes.reduce((sum, s) => sum + (s > room ? s + (s % 2) : 0), 0);
  const out = new Uint8Array(total);
  const view = new DataView(out.buffer);
  view.setUint16(0, little ? 0x4949 : 0x4d4d);
  view.setUint16(2, bigTiff ? 43 : 42, little);
  const pointer = (at: number, v: number) =>
    bigTiff ? view.setBigUint64(at, BigInt(v), little) : view.setUint32(at, v, little);
  if (bigTiff) view.setUint16(4, 8, little);
  pointer(bigTiff ? 8 : 4, directoryAt);
  blocks.forEach((block, i) => {
    out.set(block, offsets[i]);
  });
  if (bigTiff) view.setBigUint64(directoryAt, BigInt(entries.length), little);
  else view.setUint16(directoryAt, entries.length, little);
  let free = valuesAt;
  entries.forEach(({ tag, type }, i) => {
    const at = directoryAt + countSize + i * entrySize;
    view.setUint16(at, tag, little);
    view.setUint16(at + 2, types[type][0], little);
    pointer(at + 4, lists[i].length);
    let place = at + (bigTiff ? 12 : 8);
    if (sizes[i] > room) {
      pointer(place, free);
      place = free;
      free += sizes[i] + (sizes[i] % 2);
    }
    lists[i].forEach((v, k) => {
      const where = place + k * types[type][1];
      if (type === 'short') view.setUint16(where, v, little);
      else if (type === 'long') view.setUint32(where, v, little);
      else if (type === 'double') view.setFloat64(where, v, little);
      else view.setUint8(where, v);
    });
  });
  return out;
}

function put(view: DataView, at: number, v: number, cell: TiffOptions['cell'], little: boolean): void {
  if (cell === 'f64') view.setFloat64(at, v, little);
  else if (cell === 'i16') view.setInt16(at, v, little);
  else if (cell === 'u16') view.setUint16(at, v, little);
  else if (cell === 'i32') view.setInt32(at, v, little);
  else if (cell === 'u8') view.setUint8(at, v);
  else view.setFloat32(at, v, little);
}

function pack(raw: Uint8Array, compression: TiffOptions['compression']): Uint8Array {
  if (compression === 'deflate') return deflateSync(raw);
  if (compression === 'packbits') return packBits(raw);
  return compression === 'lzw' ? packLzw(raw) : raw;
}

/** Runs of two and more as repeats, the rest as they are (TIFF 6.0, section 9). */
export function packBits(raw: Uint8Array): Uint8Array {
  const out: number[] = [];
  for (let i = 0; i < raw.length; ) {
    let run = 1;
    while (run < 128 && raw[i + run] === raw[i] && i + run < raw.length) run++;
    if (run > 1) out.push(257 - run, raw[i]);
    else out.push(0, raw[i]);
    i += run;
  }
  return Uint8Array.from(out);
}

/** The encoder of TIFF 6.0, section 13, with a table of strings. */
export function packLzw(raw: Uint8Array): Uint8Array {
  const out: number[] = [];
  let bits = 0;
  let held = 0;
  const write = (code: number, width: number) => {
    held = (held << width) | code;
    bits += width;
    while (bits >= 8) {
      bits -= 8;
      out.push((held >>> bits) & 255);
      held &= (1 << bits) - 1;
    }
  };
  let table = new Map<string, number>();
  let next = 258;
  const width = () => (next < 511 ? 9 : next < 1023 ? 10 : next < 2047 ? 11 : 12);
  write(256, 9);
  let string = '';
  const codeOf = (s: string) => (s.length === 1 ? s.charCodeAt(0) : (table.get(s) as number));
  for (const byte of raw) {
    const longer = string + String.fromCharCode(byte);
    if (longer.length === 1 || table.has(longer)) {
      string = longer;
      continue;
    }
    write(codeOf(string), width());
    table.set(longer, next++);
    string = String.fromCharCode(byte);
    if (next === 4094) {
      write(codeOf(string), width());
      write(256, 12);
      table = new Map();
      next = 258;
      string = '';
    }
  }
  if (string !== '') {
    write(codeOf(string), width());
    next++;
  }
  write(257, width());
  if (bits > 0) out.push((held << (8 - bits)) & 255);
  return Uint8Array.from(out);
}
