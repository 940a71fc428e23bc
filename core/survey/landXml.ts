import { SaxesParser } from 'saxes';
import type { Problem } from '../problem.ts';
import { type LengthUnit, metresPer } from '../units/length.ts';

/** A triangulated surface as the file gives it. Coordinates in the file's own unit. */
export interface LandXmlSurface {
  name: string;
  /** Three numbers a point: northing, easting, elevation. */
  points: number[];
  /** Three indices into the points a visible face. */
  faces: number[];
  /** Faces marked i="1": there is no surface there. */
  invisible: number;
}

export interface LandXmlFile {
  /** The unit the file states for lengths; null where it states none that is known. */
  unit: LengthUnit | null;
  surfaces: LandXmlSurface[];
  problems: Problem[];
}

const units: Readonly<Record<string, LengthUnit>> = {
  meter: 'm',
  millimeter: 'mm',
  centimeter: 'cm',
  foot: 'ft',
  USSurveyFoot: 'us-ft',
  inch: 'in',
};

/** More problems than this are counted, not listed. */
const mostProblems = 20;

/**
 * Reads TIN surfaces of a LandXML 1.0 to 2.0 file, whatever its namespace prefix: points are northing, easting,
 * elevation; a face marked i="1" is invisible and left out. Give the text in chunks of any size to `write`.
 * A document type declaration is refused: entities have no place in survey data.
 */
export class LandXmlReader {
  readonly #parser = new SaxesParser({ position: true });
  readonly #file: LandXmlFile = { unit: null, surfaces: [], problems: [] };
  #more = 0;
  #stopped = false;
  #surface: LandXmlSurface | null = null;
  #indexOf = new Map<string, number>();
  /** Faces wait until all points of their surface are known. */
  #faces: { text: string; row: number }[] = [];
  #text: string | null = null;
  #pointId = '';
  #sawRoot = false;

  constructor() {
    const parser = this.#parser;
    parser.on('doctype', () => this.#stop('docType', 'a document type declaration (DOCTYPE) is refused'));
    parser.on('error', (error) =>
      this.#stop('notWellFormed', error.message.replace(/^\d+:\d+:\s*/, 'not XML: ')),
    );
    parser.on('opentag', ({ name, attributes }) =>
      this.#open(localName(name), attributes as Record<string, string>),
    );
    parser.on('text', (text) => {
      if (this.#text !== null) this.#text += text;
    });
    parser.on('closetag', ({ name }) => this.#close(localName(name)));
  }

  write(chunk: string): void {
    if (!this.#stopped) this.#parser.write(chunk);
  }

  /** The whole file has been written. */
  close(): LandXmlFile {
    if (!this.#stopped) this.#parser.close();
    if (!this.#stopped && !this.#sawRoot) this.#refuse('notLandXml', null, 'no LandXML element in the file');
    if (this.#more > 0)
      this.#file.problems.push(problem('more', null, null, `${this.#more} more of the same`));
    return this.#file;
  }

  #open(name: string, attributes: Record<string, string>): void {
    if (this.#stopped) return;
    if (name === 'LandXML') this.#sawRoot = true;
    else if (name === 'Metric' || name === 'Imperial') {
      const stated = attributes.linearUnit ?? '';
      this.#file.unit = units[stated] ?? null;
      if (this.#file.unit === null)
        this.#refuse('unknownUnit', stated, 'linearUnit is not a unit of LandXML');
    } else if (name === 'Surface') {
      this.#surface = { name: attributes.name ?? '', points: [], faces: [], invisible: 0 };
      this.#indexOf = new Map();
      this.#faces = [];
    } else if (name === 'P' && this.#surface && attributes.id !== undefined) {
      this.#pointId = attributes.id;
      this.#text = '';
    } else if (name === 'F' && this.#surface) {
      if (attributes.i === '1') this.#surface.invisible++;
      else this.#text = '';
    }
  }

  #close(name: string): void {
    if (this.#stopped) return;
    const text = this.#text;
    if (name === 'P' && text !== null) this.#point(text);
    else if (name === 'F' && text !== null) this.#faces.push({ text, row: this.#parser.line });
    else if (name === 'Surface' && this.#surface) {
      for (const face of this.#faces) this.#face(this.#surface, face.text, face.row);
      this.#file.surfaces.push(this.#surface);
      this.#surface = null;
    }
    if (name === 'P' || name === 'F') this.#text = null;
  }

  #point(text: string): void {
    const numbers = text.trim().split(/\s+/).map(Number);
    if (numbers.length < 3 || !numbers.every(Number.isFinite)) {
      this.#refuse(
        'point',
        text.trim(),
        `point ${this.#pointId}: northing, easting and elevation are wanted`,
      );
      return;
    }
    const { points } = this.#surface as LandXmlSurface;
    this.#indexOf.set(this.#pointId, points.length / 3);
    points.push(numbers[0], numbers[1], numbers[2]);
  }

  #face(surface: LandXmlSurface, text: string, row: number): void {
    const ids = text.trim().split(/\s+/);
    const corners = ids.slice(0, 3).map((id) => this.#indexOf.get(id));
    const missing = ids.slice(0, 3).find((_, k) => corners[k] === undefined);
    if (ids.length < 3) this.#refuse('face', text.trim(), 'a face takes three points', row);
    else if (missing !== undefined)
      this.#refuse('face', missing, 'the face names a point that is not there', row);
    else surface.faces.push(...(corners as number[]));
  }

  #refuse(code: string, value: string | null, message: string, row = this.#parser.line): void {
    if (this.#file.problems.length >= mostProblems) this.#more++;
    else this.#file.problems.push(problem(code, row, value, message));
  }

  #stop(code: string, message: string): void {
    if (this.#stopped) return;
    this.#refuse(code, null, message);
    this.#stopped = true;
  }
}

const localName = (name: string) => name.slice(name.indexOf(':') + 1);

function problem(code: string, row: number | null, value: string | null, message: string): Problem {
  return { code, row, column: null, value, message };
}

/** Reads a whole file at once. */
export function readLandXml(text: string): LandXmlFile {
  const reader = new LandXmlReader();
  reader.write(text);
  return reader.close();
}

/**
 * Which unit to take a file's coordinates in, for a grid of the given unit. A file that states the other foot than
 * its grid has is read in the grid's: coordinates in a grid are in its unit, and programs often write `foot` for
 * either. `doubt` then says what was done.
 */
export function unitForGrid(
  stated: LengthUnit | null,
  gridMetresPerUnit: number,
): { metres: number; doubt: string | null } {
  if (stated === null)
    return { metres: gridMetresPerUnit, doubt: 'the file states no unit; read in that of the grid' };
  const metres = metresPer[stated];
  const ratio = metres / gridMetresPerUnit;
  if (ratio === 1 || Math.abs(ratio - 1) > 1e-5) return { metres, doubt: null };
  const shift = (2_000_000 * Math.abs(metres - gridMetresPerUnit)).toFixed(2);
  return {
    metres: gridMetresPerUnit,
    doubt: `the file says ${stated}, the grid has the other foot; read in the grid's (the other would shift it ${shift} m at 2 000 000)`,
  };
}
