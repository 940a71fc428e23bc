import type { Problem } from '../../problem.ts';
import { type LengthUnit, metresPer } from '../../units/length.ts';
import { Faults, fault } from '../faults.ts';
import { ownText } from '../growing.ts';
import { LineStore } from '../lineStore.ts';
import { inBatches, makePointSet } from '../pointSet.ts';
import type { CrsStatement, OpenedFile, PointSet } from '../types.ts';
import type { XmlAttributes, XmlHandler } from '../xmlStream.ts';
import { AlignmentSection, type StatedLine } from './alignment.ts';
import { traceLine } from './courses.ts';
import { CgPoints } from './points.ts';
import type { Section } from './section.ts';
import { Structures } from './structures.ts';
import { type SurfaceResult, SurfaceSection } from './surface.ts';
import { landXmlLength, type StatedUnits, statedCrs, statedUnits } from './units.ts';

/** Parts of LandXML that say nothing of covers or pavement; they are named and left. */
const ignoredKinds: Readonly<Record<string, string>> = {
  Profile: 'profile',
  CrossSects: 'set of cross sections',
  Superelevation: 'superelevation',
  Parcel: 'parcel',
  Roadway: 'roadway',
  GradeModel: 'grade model',
  Pipe: 'pipe',
  Amendment: 'amendment',
};

/** More surfaces or alignments than this are no survey. */
const mostSurfaces = 10_000;
const mostAlignments = 100_000;
/** Chords stay within 5 mm of a curve. */
const chordTolerance = 0.005;

/** Takes the elements of a LandXML file and makes of them what the file holds. */
export class LandXmlDocument implements XmlHandler {
  readonly #faults = new Faults();
  readonly #lines = new LineStore(this.#faults);
  readonly #points = new CgPoints(this.#faults);
  readonly #structures = new Structures(this.#faults);
  readonly #alignments: StatedLine[] = [];
  readonly #surfaces: SurfaceResult[] = [];
  readonly #ignored = new Map<string, { count: number; first: string }>();
  /** Prefixes that stand for another vocabulary than LandXML. */
  readonly #foreign = new Set<string>();
  refused: Problem | null = null;
  #units: StatedUnits = { horizontal: null, vertical: null };
  #diameterUnit: LengthUnit | null = null;
  #crs: CrsStatement | null = null;
  #network = { name: '', type: '' };
  #depth = 0;
  /** Depth at which the element stands whose content is left out; 0 for none. */
  #skipFrom = 0;
  #section: { at: number; section: Section } | null = null;
  #point: { attributes: XmlAttributes; row: number } | null = null;

  open(name: string, attributes: XmlAttributes, row: number): boolean {
    this.#depth++;
    if (this.#skipFrom > 0) return false;
    const local = this.#local(name, attributes);
    if (this.#depth === 1 && local !== 'LandXML')
      this.refused = fault({
        code: 'notLandXml',
        row,
        message: `the outermost element is ${name}, not LandXML`,
      });
    if (local === null) {
      this.#skipFrom = this.#depth;
      return false;
    }
    if (this.#section) {
      const wanted = this.#section.section.open(local, attributes, row);
      if (wanted === 'skip') this.#skipFrom = this.#depth;
      return wanted === 'text';
    }
    return this.#openOutside(local, attributes, row);
  }

  close(name: string, text: string | null, row: number): void {
    const depth = this.#depth--;
    if (this.#skipFrom > 0) {
      if (depth === this.#skipFrom) this.#skipFrom = 0;
      return;
    }
    if (this.#section && depth === this.#section.at) {
      const { section } = this.#section;
      this.#section = null;
      section.end();
    } else if (this.#section) {
      this.#section.section.close(localName(name), text, row);
    } else if (this.#point && localName(name) === 'CgPoint') {
      this.#points.add(this.#point.attributes, text ?? '', this.#point.row);
      this.#point = null;
    }
  }

  /** Name without its prefix; null for an element of another vocabulary. */
  #local(name: string, attributes: XmlAttributes): string | null {
    const local = localName(name);
    // Points and faces come in millions and never declare a prefix.
    if (local !== 'P' && local !== 'F') {
      for (const key in attributes) {
        if (key.startsWith('xmlns:') && !/landxml/i.test(attributes[key])) this.#foreign.add(key.slice(6));
      }
    }
    if (local === name) return local;
    return this.#foreign.has(name.slice(0, name.length - local.length - 1)) ? null : local;
  }

  #openOutside(name: string, attributes: XmlAttributes, row: number): boolean {
    if (name === 'Metric' || name === 'Imperial') {
      this.#units = statedUnits(attributes, row, this.#faults);
      this.#diameterUnit = landXmlLength(attributes.diameterUnit);
    } else if (name === 'CoordinateSystem') this.#crs ??= statedCrs(attributes);
    else if (name === 'CgPoint') {
      this.#point = { attributes, row };
      return true;
    } else if (name === 'PipeNetwork')
      this.#network = { name: ownText(attributes.name ?? ''), type: ownText(attributes.pipeNetType ?? '') };
    else if (Object.hasOwn(ignoredKinds, name)) {
      this.#ignore(name, attributes.name ?? '');
      this.#skipFrom = this.#depth;
    } else {
      const section = this.#sectionFor(name, attributes, row);
      if (section) this.#section = { at: this.#depth, section };
    }
    return false;
  }

  #sectionFor(name: string, attributes: XmlAttributes, row: number): Section | null {
    const faults = this.#faults;
    if (name === 'Surface') {
      const done = (surface: SurfaceResult) => {
        if (this.#surfaces.push(surface) > mostSurfaces) this.#refuseCount('surfaces', mostSurfaces, row);
      };
      return new SurfaceSection(attributes, row, { faults, lines: this.#lines, done });
    }
    if (name === 'Struct') return this.#structures.section(attributes, row, this.#network);
    if (name !== 'Alignment' && name !== 'PlanFeature') return null;
    const line = {
      name: ownText(attributes.name ?? ''),
      role: name === 'Alignment' ? 'alignment' : 'line',
      row,
    };
    const done = (stated: StatedLine) => {
      if (this.#alignments.push(stated) > mostAlignments)
        this.#refuseCount('alignments', mostAlignments, row);
    };
    return new AlignmentSection(line, { faults, ignored: (kind, of) => this.#ignore(kind, of), done });
  }

  #refuseCount(things: string, limit: number, row: number): void {
    const message = `more than ${limit.toLocaleString('en')} ${things} in one file`;
    this.refused = fault({ code: 'tooMany', row, message });
  }

  #ignore(kind: string, name: string): void {
    const entry = this.#ignored.get(kind);
    if (entry) entry.count++;
    else this.#ignored.set(kind, { count: 1, first: ownText(name) });
  }

  /** What the file holds, once it is read to its end. */
  finish(): OpenedFile | Problem {
    const unit = this.#units.horizontal;
    const tolerance = chordTolerance / (unit === null ? 1 : metresPer[unit]);
    const tools = { points: this.#points, faults: this.#faults, lines: this.#lines, tolerance };
    for (const alignment of this.#alignments) traceLine(alignment, tools);
    for (const [kind, { count, first }] of this.#ignored) {
      const message = `${ignoredKinds[kind]}: not used (${count} in the file)`;
      this.#faults.say({ code: 'ignored', column: kind, value: first, message });
    }
    const points: PointSet[] = this.#points.length > 0 ? [this.#points.pointSet()] : [];
    for (const surface of this.#surfaces) points.push(...pointsOf(surface));
    const layers =
      this.#structures.length > 0 ? [this.#structures.layer(this.#points, this.#diameterUnit)] : [];
    const tins = this.#surfaces.map((s) => s.tin).filter((tin) => tin.faces.length > 0);
    const { lines } = this.#lines;
    if (points.length + layers.length + tins.length + lines.length === 0)
      return fault({
        code: 'nothing',
        message: 'the LandXML file holds no surface, points, alignments or structures',
      });
    if (tins.length === 0 && points.length + layers.length === 0)
      this.#faults.say({
        code: 'noSurface',
        message: `there is no surface in the file, only ${lines.length} line${lines.length === 1 ? '' : 's'}`,
      });
    const { list: problems } = this.#faults;
    return {
      format: 'landxml',
      crs: this.#crs,
      units: this.#units,
      points,
      layers,
      tins,
      lines,
      grids: [],
      problems,
    };
  }
}

const localName = (name: string) => name.slice(name.indexOf(':') + 1);

/** The points a surface was made from, and its own where it has no triangles. */
function pointsOf({ tin, dataPoints }: SurfaceResult): PointSet[] {
  const unnamed = { point: '', code: '', sigma: null };
  const sets: PointSet[] = [];
  if (dataPoints.length > 0) {
    const shots = inBatches(dataPoints.length / 4, (i) => {
      const [northing, easting, elevation, row] = dataPoints.slice(4 * i, 4 * i + 4);
      return { ...unnamed, row, northing, easting, elevation };
    });
    sets.push(makePointSet(`${tin.name} data points`, dataPoints.length / 4, shots));
  }
  if (tin.faces.length === 0 && tin.points.length > 0) {
    const shots = inBatches(tin.points.length / 3, (i) => {
      const [easting, northing, elevation] = tin.points.slice(3 * i, 3 * i + 3);
      return { ...unnamed, row: 0, northing, easting, elevation };
    });
    sets.push(makePointSet(`${tin.name} points`, tin.points.length / 3, shots));
  }
  return sets;
}
