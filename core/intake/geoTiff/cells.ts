import { GeoTIFF, type GeoTIFFImage } from 'geotiff';
import type { Faults } from '../faults.ts';
import type { ByteSource, RawGrid } from '../types.ts';
import { useBoundedDecoders } from './decoders.ts';
import type { TiffDirectory } from './directory.ts';
import type { CellLayout } from './layout.ts';

const tags = { metadata: 42112, noData: 42113 } as const;
/** Cells asked for at once. */
export const mostWindowCells = 2 ** 24;

type Window = RawGrid['window'];

/** Opens the cells of a file whose directory has been checked. @throws what the library throws on damaged data */
export async function openCells(source: ByteSource): Promise<GeoTIFFImage> {
  useBoundedDecoders();
  const bytesOf = async ({ offset, length }: { offset: number; length: number }) => {
    const bytes = await source.bytes(offset, Math.max(0, Math.min(length, source.size - offset)));
    // A copy: a source may hand out a part of a larger buffer.
    return Uint8Array.from(bytes).buffer;
  };
  const file = await GeoTIFF.fromSource({
    fetch: (slices) => Promise.all(slices.map(bytesOf)),
    fetchSlice: async (slice) => ({ ...slice, data: await bytesOf(slice) }),
    fileSize: source.size,
    close: async () => {},
  });
  return file.getImage(0);
}

/** The value that stands for no elevation; null where the file names none. */
export async function noDataOf(directory: TiffDirectory): Promise<number | null> {
  const text = asText(await directory.numbers(tags.noData, 100)).trim();
  const value = Number(text);
  return text === '' || Number.isNaN(value) ? null : value;
}

/** Scale and offset that the first band's values are stored with. */
export async function scaleOf(directory: TiffDirectory): Promise<{ scale: number; offset: number }> {
  const text = asText(await directory.numbers(tags.metadata, 65_536));
  const item = (role: string, otherwise: number) => {
    const found = new RegExp(`<Item[^>]*role="${role}"[^>]*>([^<]*)<`, 'i').exec(text);
    const isFirst = found !== null && !/sample="[1-9]/.test(found[0]);
    const value = isFirst ? Number(found[1]) : Number.NaN;
    return Number.isFinite(value) ? value : otherwise;
  };
  return { scale: item('scale', 1), offset: item('offset', 0) };
}

function asText(bytes: readonly number[]): string {
  let text = '';
  for (const byte of bytes) if (byte > 0) text += String.fromCharCode(byte);
  return text;
}

export interface Values {
  noData: number | null;
  scale: number;
  offset: number;
}

/**
 * Reads windows of the first band, one block after another, so that memory holds one of them. A block that cannot be
 * unpacked is said once and its cells are NaN.
 */
export function windowReader(
  image: GeoTIFFImage,
  { layout, values, faults }: { layout: CellLayout; values: Values; faults: Faults },
): Window {
  const { noData, scale, offset } = values;
  const empty =
    noData === null ? Number.NaN : layout.isFloat && layout.bits === 32 ? Math.fround(noData) : noData;
  let said = false;
  const readBlock = async (edges: [number, number, number, number]) => {
    try {
      const [band] = await image.readRasters({ window: edges, samples: [0] });
      return band as ArrayLike<number>;
    } catch (error) {
      if (!said) {
        const message = `cells from column ${edges[0] + 1}, row ${edges[1] + 1} cannot be unpacked: ${(error as Error).message}`;
        faults.say({ code: 'damagedBlock', message });
      }
      said = true;
      return null;
    }
  };
  return async (column, row, columns, rows) => {
    const right = column + columns;
    const bottom = row + rows;
    const inside = column >= 0 && row >= 0 && right <= layout.columns && bottom <= layout.rows;
    if (!inside || !(columns > 0 && rows > 0) || columns * rows > mostWindowCells)
      throw new RangeError(`no window of ${columns} by ${rows} cells at column ${column}, row ${row}`);
    const out = new Float64Array(columns * rows).fill(Number.NaN);
    for (const [y0, y1] of steps(row, bottom, layout.blockHeight)) {
      for (const [x0, x1] of steps(column, right, layout.blockWidth)) {
        const band = await readBlock([x0, y0, x1, y1]);
        if (!band) continue;
        for (let y = y0; y < y1; y++) {
          for (let x = x0; x < x1; x++) {
            const value = band[(y - y0) * (x1 - x0) + x - x0];
            if (value !== empty) out[(y - row) * columns + x - column] = value * scale + offset;
          }
        }
      }
    }
    return out;
  };
}

/** Parts of [from, to) that lie in one block each. */
function steps(from: number, to: number, block: number): [number, number][] {
  const parts: [number, number][] = [];
  for (let at = from; at < to; ) {
    const next = Math.min(to, (Math.floor(at / block) + 1) * block);
    parts.push([at, next]);
    at = next;
  }
  return parts;
}
