import { type RawBuilder, sql } from 'kysely';

/**
 * Places in the tables of the tiles: whole numbers of Web Mercator's square (EPSG:3857), 2^30 to its side, x eastward
 * and y southward. The migration that made the tables says the same.
 */
export const placeBits = 30;
/** Strips of `place` are tiles of this zoom. */
export const stripZoom = 16;
/** Zooms from here on show each cover; those before show counts. */
export const firstCoverZoom = 13;
export const lastZoom = 18;
/** A tile of counts has so many cells a side. */
export const cellsPerSide = 8;
/** Bits of a place within the finest cells of counts. */
export const finestCellBits = placeBits - (firstCoverZoom - 1) - Math.log2(cellsPerSide);
/** Tiles of this zoom have a revision each. */
export const revisionZoom = 13;

const side = sql.lit(2 ** placeBits);

/** x and y of a structure's `lon` and `lat`. */
export const xOfLon: RawBuilder<number> = sql`
  least(${side} - 1, greatest(0, floor((lon / 360 + 0.5) * ${side})))::bigint`;
const latitude = sql`radians(least(85.051128, greatest(-85.051128, lat)))`;
export const yOfLat: RawBuilder<number> = sql`
  least(${side} - 1, greatest(0, floor((0.5 - ln(tan(pi() / 4 + ${latitude} / 2)) / (2 * pi())) * ${side})))::bigint`;

/** x of a row of tile_covers. */
export const xOfPlace: RawBuilder<number> = sql`(place & ${sql.lit(2 ** placeBits - 1)})`;

/** The cell, in the tables of the counts, of columns `x` and `y` at a `zoom`. */
export const cellOfPlace: RawBuilder<number> = sql`
  (((y >> 30 - zoom << zoom) + (x >> 30 - zoom) << 6) + ((y >> 27 - zoom & 7) << 3) + (x >> 27 - zoom & 7))`;
