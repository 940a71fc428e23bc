import { type LengthUnit, metresPer, unitFromWord } from './length.ts';

/** A column heading: its name in lower case with underscores, and the unit written after it, if any. */
export interface Heading {
  name: string;
  unit: LengthUnit | null;
}

/** Reads `Rim Elevation (m)`, `rim_elevation_m` or `frame_height_us-ft` as a name and a unit. */
export function readHeading(text: string): Heading {
  const plain = text
    .trim()
    .toLowerCase()
    .replace(/us[ _-]?ft|us[ _-]survey[ _-](?:foot|feet)|ftus/g, 'us-ft')
    .replace(/[\s().[\]:#]+/g, '_')
    .replace(/^_+|_+$/g, '');
  const cut = plain.lastIndexOf('_');
  const unit = cut > 0 ? unitFromWord(plain.slice(cut + 1)) : null;
  return unit === null ? { name: plain, unit } : { name: plain.slice(0, cut).replace(/_+$/, ''), unit };
}

/**
 * Metres in one unit of a coordinate column. A plain `ft` is the foot that the file's system counts in, where that is a
 * foot: which of the two it is comes from the system, never from the word.
 */
export function metresOfHeading(unit: LengthUnit | null, systemMetres: number): number {
  if (unit === null) return systemMetres;
  const systemIsFoot = Math.abs(systemMetres - metresPer.ft) < 1e-5;
  return unit === 'ft' && systemIsFoot ? systemMetres : metresPer[unit];
}
