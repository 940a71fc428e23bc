import type { Faults } from '../faults.ts';
import { ownText } from '../growing.ts';
import { readNumbers } from '../numbers.ts';
import type { RawPosition } from '../types.ts';
import type { XmlAttributes } from '../xmlStream.ts';
import { type PlaceStatement, placesOf, type Section, type Wanted } from './section.ts';

/** One piece of a line's geometry as the file states it. */
export interface Course {
  kind: 'Line' | 'Curve' | 'Spiral' | 'IrregularLine' | 'Chain';
  row: number;
  attributes: XmlAttributes;
  places: { Start?: PlaceStatement; End?: PlaceStatement; Center?: PlaceStatement; PI?: PlaceStatement };
  /** Places between the ends of an irregular line, or those of a chain of points. */
  between: RawPosition[] | PlaceStatement[];
}

export interface StatedLine {
  name: string;
  role: string;
  row: number;
  courses: Course[];
}

const courseKinds: ReadonlySet<string> = new Set(['Line', 'Curve', 'Spiral', 'IrregularLine', 'Chain']);
const placeNames: ReadonlySet<string> = new Set(['Start', 'End', 'Center', 'PI']);

/** An Alignment, or a PlanFeature, whose horizontal geometry has the same form. */
export class AlignmentSection implements Section {
  readonly #line: StatedLine;
  readonly #faults: Faults;
  readonly #ignored: (kind: string, name: string) => void;
  readonly #done: (line: StatedLine) => void;
  readonly #numbers: number[] = [];
  #course: Course | null = null;
  #reference: string | null = null;

  constructor(
    line: Omit<StatedLine, 'courses'>,
    tools: {
      faults: Faults;
      ignored: (kind: string, name: string) => void;
      done: (line: StatedLine) => void;
    },
  ) {
    this.#line = { ...line, courses: [] };
    this.#faults = tools.faults;
    this.#ignored = tools.ignored;
    this.#done = tools.done;
  }

  open(name: string, attributes: XmlAttributes, row: number): Wanted {
    if (name === 'Profile' || name === 'CrossSects' || name === 'Superelevation') {
      this.#ignored(name, attributes.name ?? this.#line.name);
      return 'skip';
    }
    if (name === 'AlignPIs' || name === 'StaEquation') return 'skip';
    if (this.#course === null && courseKinds.has(name)) {
      const own = Object.entries(attributes).map(([key, value]) => [key, ownText(value)]);
      this.#course = {
        kind: name as Course['kind'],
        row,
        attributes: Object.fromEntries(own),
        places: {},
        between: [],
      };
      return name === 'Chain' ? 'text' : 'open';
    }
    if (this.#course === null) return 'open';
    if (placeNames.has(name)) {
      this.#reference = attributes.pntRef?.trim() || null;
      return 'text';
    }
    return name === 'PntList2D' || name === 'PntList3D' ? 'text' : 'open';
  }

  close(name: string, given: string | null, row: number): void {
    const course = this.#course;
    if (course === null) return;
    const text = given ?? '';
    if (placeNames.has(name)) this.#place(course, name as keyof Course['places'], text, row);
    else if (name === 'PntList2D' || name === 'PntList3D') this.#between(course, name, text, row);
    else if (name === course.kind) {
      if (name === 'Chain') course.between = text.trim().split(/\s+/).map(named);
      this.#line.courses.push(course);
      this.#course = null;
    }
  }

  end(): void {
    this.#done(this.#line);
  }

  #place(course: Course, name: keyof Course['places'], text: string, row: number): void {
    const bad = readNumbers(text, this.#numbers);
    const [north, east, elevation = null] = this.#numbers;
    if (bad === null && this.#numbers.length >= 2) course.places[name] = { north, east, elevation };
    else if (this.#reference !== null) course.places[name] = named(this.#reference);
    else {
      const message = `${this.#line.role} "${this.#line.name}": ${name} of a ${course.kind} has no northing and easting`;
      this.#faults.say({ code: 'places', row, value: bad ?? text.trim(), message });
    }
  }

  #between(course: Course, name: string, text: string, row: number): void {
    const size = name === 'PntList3D' ? 3 : 2;
    const bad = readNumbers(text, this.#numbers);
    if (bad === null && this.#numbers.length % size === 0) {
      course.between = placesOf(this.#numbers, size, null);
      return;
    }
    const message = `${this.#line.role} "${this.#line.name}": ${size} numbers a place are wanted`;
    this.#faults.say({ code: 'places', row, value: bad, message });
  }
}

const named = (pointName: string): PlaceStatement => ({ pointName: ownText(pointName) });
