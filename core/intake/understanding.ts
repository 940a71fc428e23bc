import type { CrsDefinition } from '../crs/crs.ts';
import type { Problem } from '../problem.ts';
import type { LengthUnit } from '../units/length.ts';
import type { FormatId } from './types.ts';

export type Kind = 'shots' | 'structures' | 'design' | 'lines' | 'grid';

/** Where a fact comes from. `guess` is the likeliest reading and always stands beside a question. */
export type From = 'file' | 'crs' | 'given' | 'heading' | 'guess' | 'unknown';

export interface UnitUnderstood {
  unit: LengthUnit | 'degree' | null;
  from: From;
}

export interface ColumnUnderstood {
  name: string;
  /** null: not read. */
  meaning: string | null;
  unit: LengthUnit | 'degree' | null;
  from: From;
}

/** In the file's own units, after the axes were told apart. */
export interface Bounds {
  minEasting: number;
  minNorthing: number;
  maxEasting: number;
  maxNorthing: number;
  minElevation: number | null;
  maxElevation: number | null;
}

export interface CrsUnderstood {
  /** null where the file says something that the register does not have. */
  epsg: number | null;
  code: string | null;
  name: string | null;
  from: 'file' | 'given';
  /** As the file writes it. */
  text: string | null;
}

/** One answer to a question, with what follows from it. */
export interface Choice {
  id: string;
  text: string;
  /** Where the middle of the data would land: degrees, null where nowhere. */
  lands?: { lon: number; lat: number } | null;
  /** Whether it lands in the area of use of the system, or in the project's where that is known. */
  inside?: boolean;
  /** One value or place read this way. */
  example?: Readonly<Record<string, number | string | null>>;
}

export interface Question {
  code: string;
  /** Column or part that it is about. */
  about: string | null;
  text: string;
  choices: Choice[];
  /** The choice that what is shown here was read with; null where nothing was assumed. */
  likely: string | null;
}

export type SampleValue = string | number | boolean | null | { [name: string]: SampleValue };

/** What a file is understood as, before anything is stored. */
export interface Understanding {
  format: FormatId;
  kind: Kind;
  name: string;
  /** Shots, structures, visible faces, lines or grid cells. */
  count: number;
  bounds: Bounds | null;
  /** Where the middle of the data lies in the likeliest reading, degrees; null where nothing says. */
  lands: { lon: number; lat: number } | null;
  crs: CrsUnderstood | null;
  units: { horizontal: UnitUnderstood; vertical: UnitUnderstood };
  /** Day that every shot of the file names, `2026-05-02`; absent where it does not say. */
  epoch?: string;
  columns: ColumnUnderstood[];
  sample: { [name: string]: SampleValue }[];
  /** Everything that the file holds, the part described above first. */
  parts: { kind: Kind; name: string; count: number }[];
  problems: Problem[];
  questions: Question[];
}

/** What a user or a project has already said. It wins over the file, and a difference is named. */
export interface Said {
  crs?: CrsDefinition;
  /** Positions are longitude and latitude on WGS 84. */
  lonLat?: boolean;
  horizontalUnit?: LengthUnit;
  verticalUnit?: LengthUnit;
  axes?: 'asRead' | 'swapped';
  /** Meaning of columns by their heading; null: not to be read. */
  meanings?: Readonly<Record<string, string | null>>;
  /** Unit of columns by their heading. */
  columnUnits?: Readonly<Record<string, LengthUnit>>;
  /** Where the project lies, degrees. */
  projectArea?: CrsDefinition['area'];
}

/** The register of coordinate reference systems, which core does not carry. */
export interface CrsLookup {
  /** A projected system; null for one that is unknown or not projected. */
  find(epsg: number): CrsDefinition | null;
  isLonLat(epsg: number): boolean;
  match(text: string): { epsg: number | null; sure: boolean; candidates: number[]; reason: string };
  /** Other zones of the same family, to offer where the data lands outside this one. */
  zones(definition: CrsDefinition): CrsDefinition[];
}
