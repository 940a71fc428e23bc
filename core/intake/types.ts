import type { Problem } from '../problem.ts';
import type { LengthUnit } from '../units/length.ts';

/**
 * What files turn into before anyone has said what they mean: numbers in the file's own units and axes, with what the
 * file itself states of them. Nothing is converted or guessed here; core/intake/understand.ts does that and asks.
 */

export type FormatId = 'delimited' | 'landxml' | 'geojson' | 'shapefile' | 'geopackage' | 'dxf' | 'geotiff';

/** Bytes of one file. Readers never see paths and never hold a whole large file. */
export interface ByteSource {
  /** File name without folders. */
  name: string;
  size: number;
  /** Up to `length` bytes from `offset`; fewer at the end. */
  bytes(offset: number, length: number): Promise<Uint8Array>;
  /** All bytes in order, in chunks of any size. */
  chunks(): AsyncIterable<Uint8Array>;
}

/** What a file says of its coordinate reference system. */
export interface CrsStatement {
  /** EPSG code where the file gives one or its WKT carries one. */
  epsg: number | null;
  /** The statement as written: a URN, WKT, a name. */
  text: string;
  /** Where it stood: `crs member`, `.prj`, `geokeys`, `gpkg_spatial_ref_sys`, `CoordinateSystem element`. */
  from: string;
}

/** Units that the file itself states; null where it says nothing. */
export interface UnitStatement {
  horizontal: LengthUnit | 'degree' | null;
  vertical: LengthUnit | null;
}

/** One measured point as written. */
export interface RawShot {
  /** Line or record of the file, from 1. */
  row: number;
  point: string;
  northing: number;
  easting: number;
  /** NaN where it is blank. */
  elevation: number;
  code: string;
  /** Standard deviation of the elevation in `sigmaUnit` of the set; null where not given. */
  sigma: number | null;
  /** Word for the satellite solution (`FIX`, `FLOAT`), where the file has a column of it. */
  fix?: string;
  /** Date or name of the survey a shot belongs to, as written, where the file has a column of it. */
  epoch?: string;
}

export interface PointSet {
  name: string;
  /** Exact where known before reading, else null. */
  count: number | null;
  sigmaUnit: LengthUnit | null;
  /** Shots in batches; problems found on the way go to `problems` of the opened file. */
  shots(): AsyncIterable<RawShot[]>;
}

export type RawPosition = readonly [x: number, y: number, z: number | null];

export type RawGeometry =
  | { type: 'point'; position: RawPosition }
  | { type: 'line'; positions: readonly RawPosition[] }
  | { type: 'polygon'; rings: readonly (readonly RawPosition[])[] };

/** A record of a layer; `values` stand in the order of the layer's columns. Text stays text: `0012` is not 12. */
export interface RawFeature {
  row: number;
  geometry: RawGeometry | null;
  values: readonly (string | number | boolean | null)[];
}

export interface LayerColumn {
  name: string;
  type: 'text' | 'number' | 'boolean' | 'mixed';
}

/** A table of records, with geometry where the format has it. */
export interface Layer {
  name: string;
  columns: readonly LayerColumn[];
  geometry: 'point' | 'line' | 'polygon' | 'mixed' | 'none';
  count: number | null;
  crs: CrsStatement | null;
  features(): AsyncIterable<RawFeature[]>;
}

/** A triangulated surface: points x (east), y (north), z; three indices a visible face. */
export interface RawTin {
  name: string;
  points: Float64Array;
  faces: Uint32Array;
  /** Faces that the file marks as not there. */
  invisible: number;
}

/** A named line, e.g. a breakline, an alignment's centre line (curves as chords within 5 mm), a polyline. */
export interface RawLine {
  name: string;
  /** `alignment`, `breakline`, `boundary`, `line`, or the layer it stood on. */
  role: string;
  positions: readonly RawPosition[];
  row: number;
}

/** A regular grid of elevations. Row 0 is the northernmost. */
export interface RawGrid {
  name: string;
  columns: number;
  rows: number;
  /** x, y of the CENTRE of the first (north-west) cell, and the size of a cell, both positive. */
  firstX: number;
  firstY: number;
  cellX: number;
  cellY: number;
  noData: number | null;
  /** A window of values, row by row; noData as NaN. */
  window(column: number, row: number, columns: number, rows: number): Promise<Float64Array>;
}

/** A file understood as far as its format goes. */
export interface OpenedFile {
  format: FormatId;
  crs: CrsStatement | null;
  units: UnitStatement;
  points: PointSet[];
  layers: Layer[];
  tins: RawTin[];
  lines: RawLine[];
  grids: RawGrid[];
  /** Faults, filled while reading; at most 1000 are listed, the rest counted in a last one of code `more`. */
  problems: Problem[];
}

/** One format. A reader returns problems as values and throws only for a programmer's error. */
export interface Reader {
  format: FormatId;
  label: string;
  extensions: readonly string[];
  /** 0 to 1: how surely the first bytes and the name are this format. `files` may be several: a loose shapefile. */
  recognises(name: string, head: Uint8Array): number;
  /** A file that is refused as a whole gives one Problem. Bounded work and memory whatever the file claims. */
  open(files: readonly ByteSource[]): Promise<OpenedFile | Problem>;
}

/** More problems of one file than this are counted, not listed. */
export const mostProblems = 1000;
