import { Faults } from './faults.ts';
import { damaged, readDirectory } from './geoTiff/directory.ts';
import { cellLayout } from './geoTiff/layout.ts';
import { gridPlacement } from './geoTiff/placement.ts';
import type { ByteSource, OpenedFile, Reader } from './types.ts';

/**
 * GeoTIFF elevation grids (OGC 19-008r4): the first band of the first image. The cells are read through a library,
 * in windows, after all that the file claims has been held against its size.
 */
export const geoTiffReader: Reader = {
  format: 'geotiff',
  label: 'GeoTIFF elevation grid',
  extensions: ['tif', 'tiff'],

  recognises(name, head) {
    const [a, b, c, d] = head;
    const isLittle = a === 0x49 && b === 0x49 && (c === 42 || c === 43) && d === 0;
    const isBig = a === 0x4d && b === 0x4d && c === 0 && (d === 42 || d === 43);
    if (isLittle || isBig) return 0.95;
    return /\.tiff?$/i.test(name) ? 0.3 : 0;
  },

  async open([source]) {
    try {
      return await openGrid(source);
    } catch (error) {
      // A directory that passes its checks may still hold what the library cannot read.
      return damaged((error as Error).message);
    }
  },
};

async function openGrid(source: ByteSource): ReturnType<Reader['open']> {
  const directory = await readDirectory(source);
  if ('message' in directory) return directory;
  const layout = await cellLayout(directory, source);
  if ('message' in layout) return layout;
  const placement = await gridPlacement(directory);
  if ('message' in placement) return placement;
  const { noDataOf, openCells, scaleOf, windowReader } = await import('./geoTiff/cells.ts');
  const faults = new Faults();
  if (layout.bands > 1)
    faults.say({
      code: 'bands',
      message: `the file has ${layout.bands} bands; the first is taken as elevations`,
    });
  const noData = await noDataOf(directory);
  const values = { noData, ...(await scaleOf(directory)) };
  const { columns, rows } = layout;
  const { crs, units, ...place } = placement;
  const window = windowReader(await openCells(source), { layout, values, faults });
  const grid = { name: source.name.replace(/\.tiff?$/i, ''), columns, rows, ...place, noData, window };
  const none: Pick<OpenedFile, 'points' | 'layers' | 'tins' | 'lines'> = {
    points: [],
    layers: [],
    tins: [],
    lines: [],
  };
  return { format: 'geotiff', crs, units, ...none, grids: [grid], problems: faults.list };
}
