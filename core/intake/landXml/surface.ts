import { counted } from '../../units/count.ts';
import type { Faults } from '../faults.ts';
import { DoubleColumn, IndexColumn, ownText } from '../growing.ts';
import type { LineStore } from '../lineStore.ts';
import { readNumbers } from '../numbers.ts';
import type { RawTin } from '../types.ts';
import type { XmlAttributes } from '../xmlStream.ts';
import { IdTable } from './idTable.ts';
import { placesOf, type Section, type Wanted } from './section.ts';

export interface SurfaceResult {
  tin: RawTin;
  /** Source points: northing, easting, elevation and row of each. */
  dataPoints: number[];
}

/** What a list of places inside a surface is. */
const listRoles: Readonly<Record<string, string>> = {
  Breakline: 'breakline',
  Boundary: 'boundary',
  Contour: 'contour',
  DataPoints: 'dataPoints',
};

/** One Surface element: its triangles, and the lines and points that it was made from. */
export class SurfaceSection implements Section {
  readonly #name: string;
  readonly #row: number;
  readonly #faults: Faults;
  readonly #lines: LineStore;
  readonly #done: (surface: SurfaceResult) => void;
  readonly #ids = new IdTable();
  readonly #points = new DoubleColumn();
  /** Three id slots a face: the points may stand after the faces. */
  readonly #faces = new IndexColumn();
  readonly #rows = new IndexColumn();
  readonly #numbers: number[] = [];
  readonly #dataPoints: number[] = [];
  #invisible = 0;
  #quads = 0;
  #pointId = '';
  #list: { role: string; name: string; elevation: number | null } | null = null;

  constructor(
    attributes: XmlAttributes,
    row: number,
    tools: { faults: Faults; lines: LineStore; done: (surface: SurfaceResult) => void },
  ) {
    this.#name = ownText(attributes.name ?? '');
    this.#row = row;
    this.#faults = tools.faults;
    this.#lines = tools.lines;
    this.#done = tools.done;
  }

  open(name: string, attributes: XmlAttributes, row: number): Wanted {
    if (name === 'P') {
      this.#pointId = attributes.id?.trim() ?? '';
      if (this.#pointId !== '') return 'text';
      this.#say('point', row, null, 'a point of a surface has no id, so no face can name it; left out');
    } else if (name === 'F') {
      if (attributes.i?.trim() !== '1') return 'text';
      this.#invisible++;
    } else if (Object.hasOwn(listRoles, name)) {
      const elevation = Number(attributes.elev);
      this.#list = {
        role: listRoles[name],
        name: ownText(attributes.name || attributes.desc || attributes.bndType || this.#name),
        elevation: attributes.elev !== undefined && Number.isFinite(elevation) ? elevation : null,
      };
    } else if (this.#list && (name === 'PntList3D' || name === 'PntList2D')) return 'text';
    return 'open';
  }

  close(name: string, text: string | null, row: number): void {
    if (text === null) {
      if (Object.hasOwn(listRoles, name)) this.#list = null;
    } else if (name === 'P') this.#point(text, row);
    else if (name === 'F') this.#face(text, row);
    else if (name === 'PntList3D') this.#placeList(text, 3, row);
    else this.#placeList(text, 2, row);
  }

  end(): void {
    const faces = this.#resolved();
    const name = this.#name;
    if (this.#quads > 0)
      this.#say(
        'quads',
        null,
        null,
        `surface "${name}": ${counted(this.#quads, 'face of four points is', 'faces of four points are')} cut in two`,
      );
    if (faces.length === 0) this.#say('noFaces', this.#row, null, `surface "${name}" has no visible faces`);
    const tin = { name, points: this.#points.done(), faces, invisible: this.#invisible };
    this.#done({ tin, dataPoints: this.#dataPoints });
  }

  #point(text: string, row: number): void {
    const [numbers, bad] = this.#read(text);
    if (bad !== null || numbers.length < 3) {
      const message = `point ${this.#pointId}: northing, easting and elevation are wanted`;
      this.#say('point', row, bad ?? text.trim(), message);
      return;
    }
    const points = this.#points;
    if (!this.#ids.give(this.#ids.slot(this.#pointId), points.length / 3)) {
      this.#say(
        'duplicateId',
        row,
        this.#pointId,
        'a second point of this id in the surface; the first is kept',
      );
      return;
    }
    points.push(numbers[1]);
    points.push(numbers[0]);
    points.push(numbers[2]);
  }

  #face(text: string, row: number): void {
    const ids = text.trim().split(/\s+/, 5);
    if (ids.length < 3 || ids.length > 4) {
      this.#say('face', row, text.trim(), 'a face takes three points');
      return;
    }
    const slots = ids.map((id) => this.#ids.slot(id));
    this.#triangle(slots[0], slots[1], slots[2], row);
    if (slots.length === 4) {
      this.#quads++;
      this.#triangle(slots[0], slots[2], slots[3], row);
    }
  }

  #triangle(a: number, b: number, c: number, row: number): void {
    this.#faces.push(a);
    this.#faces.push(b);
    this.#faces.push(c);
    this.#rows.push(row);
  }

  /** Faces as point indices; those that name a point which is not there are reported. */
  #resolved(): Uint32Array {
    const faces = this.#faces;
    let kept = 0;
    let named = 0;
    for (let f = 0; f < this.#rows.length; f++) {
      const slots = [faces.at(3 * f), faces.at(3 * f + 1), faces.at(3 * f + 2)];
      const corners = slots.map((slot) => this.#ids.pointAt(slot));
      const missing = corners.indexOf(-1);
      if (missing >= 0) {
        // Finding an id looks through all of them, so only the first few are named.
        const id = named++ < mostNamed ? this.#ids.idAt(slots[missing]) : null;
        this.#say('face', this.#rows.at(f), id, 'the face names a point that is not there');
      } else if (corners[0] === corners[1] || corners[1] === corners[2] || corners[0] === corners[2]) {
        this.#say('face', this.#rows.at(f), null, 'the face names one point twice');
      } else {
        for (const corner of corners) faces.set(kept++, corner);
      }
    }
    return faces.done(kept);
  }

  #placeList(text: string, size: 2 | 3, row: number): void {
    const list = this.#list!;
    const [numbers, bad] = this.#read(text);
    if (bad !== null || numbers.length % size !== 0) {
      const message = `${list.role} "${list.name}": ${size} numbers a place are wanted; left out`;
      this.#say('places', row, bad, message);
    } else if (list.role === 'dataPoints') {
      if (size === 3)
        for (let i = 0; i < numbers.length; i += 3)
          this.#dataPoints.push(numbers[i], numbers[i + 1], numbers[i + 2], row);
    } else if (numbers.length >= 2 * size) {
      const positions = placesOf(numbers, size, list.elevation);
      this.#lines.add({ name: list.name, role: list.role, positions, row });
    }
  }

  #read(text: string): [numbers: number[], bad: string | null] {
    const bad = readNumbers(text, this.#numbers);
    return [this.#numbers, bad];
  }

  #say(code: string, row: number | null, value: string | null, message: string): void {
    this.#faults.say({ code, row, value, message });
  }
}

/** Missing points named one by one. */
const mostNamed = 20;
