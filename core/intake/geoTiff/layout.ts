import type { Problem } from '../../problem.ts';
import { fault } from '../faults.ts';
import type { ByteSource } from '../types.ts';
import { damaged, type TiffDirectory, tags } from './directory.ts';

/** How the cells of a grid lie in its file. */
export interface CellLayout {
  columns: number;
  rows: number;
  bands: number;
  bits: number;
  isFloat: boolean;
  blockWidth: number;
  blockHeight: number;
}

/** Compressions that are undone here: none, LZW, Deflate (both numbers), PackBits. */
const compressions: ReadonlySet<number> = new Set([1, 5, 8, 32946, 32773]);
/** One tile or strip is unpacked at a time, and takes no more than this. */
const mostBlockBytes = 64 * 2 ** 20;
/** Deflate makes at most 1032 bytes of one, LZW up to some 1400. */
const mostFold = 1500;

/** Checks what a directory claims of its cells against each other and against the size of the file. */
export async function cellLayout(
  directory: TiffDirectory,
  source: ByteSource,
): Promise<CellLayout | Problem> {
  const columns = await directory.number(tags.width, 0);
  const rows = await directory.number(tags.height, 0);
  const bands = await directory.number(tags.samplesPerPixel, 1);
  const bits = await directory.number(tags.bitsPerSample, 1);
  const format = await directory.number(tags.sampleFormat, 1);
  const photometric = await directory.number(tags.photometric, 1);
  const compression = await directory.number(tags.compression, 1);
  if (!(columns > 0 && rows > 0)) return damaged('it claims no columns or rows');
  if (photometric > 1)
    return refuse('picture', 'the TIFF file is a picture in colours, not a grid of elevations');
  const isFloat = format === 3;
  if (
    !(isFloat
      ? bits === 32 || bits === 64
      : (format === 1 || format === 2) && (bits === 8 || bits === 16 || bits === 32))
  )
    return refuse(
      'cellType',
      `cells of ${bits} bits and sample format ${format} are not read; save as 32-bit float`,
    );
  if (!compressions.has(compression))
    return refuse('compression', `compression ${compression} is not read; save with Deflate, LZW or none`);
  const isTiled = directory.has(tags.tileOffsets);
  const blockWidth = isTiled ? await directory.number(tags.tileWidth, 0) : columns;
  const blockHeight = isTiled
    ? await directory.number(tags.tileHeight, 0)
    : Math.min(rows, (await directory.number(tags.rowsPerStrip, rows)) || rows);
  if (!(blockWidth > 0 && blockHeight > 0)) return damaged('its tiles claim no size');
  const isPlanar = (await directory.number(tags.planarConfiguration, 1)) === 2;
  const cellBytes = (bits / 8) * (isPlanar ? 1 : bands);
  const blockBytes = blockWidth * blockHeight * cellBytes;
  if (blockBytes > mostBlockBytes)
    return refuse(
      'blockTooLarge',
      `a ${isTiled ? 'tile' : 'strip'} of the file claims ${megabytes(blockBytes)}; save it with tiles of 512 by 512`,
    );
  const blocks = Math.ceil(columns / blockWidth) * Math.ceil(rows / blockHeight) * (isPlanar ? bands : 1);
  const listed = Math.min(
    directory.count(isTiled ? tags.tileOffsets : tags.stripOffsets),
    directory.count(isTiled ? tags.tileByteCounts : tags.stripByteCounts),
  );
  if (listed < blocks)
    return damaged(`${columns} by ${rows} cells need ${blocks} blocks, and it lists ${listed}`);
  const claimed = columns * rows * (bits / 8) * bands;
  const fold = compression === 1 ? 1 : mostFold;
  if (claimed > fold * source.size)
    return damaged(
      `it claims ${columns} by ${rows} cells (${megabytes(claimed)}), more than its ${source.size} bytes can hold`,
    );
  return { columns, rows, bands, bits, isFloat, blockWidth, blockHeight };
}

function refuse(code: string, message: string): Problem {
  return fault({ code, message });
}

const megabytes = (bytes: number) => `${Math.ceil(bytes / 1e6).toLocaleString('en')} MB`;
