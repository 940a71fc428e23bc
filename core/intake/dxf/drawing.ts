import type { Problem } from '../../problem.ts';
import type { LengthUnit } from '../../units/length.ts';
import { metresPer } from '../../units/length.ts';
import { arcPoints, type Place } from '../arcs.ts';
import { Faults, fault } from '../faults.ts';
import { DoubleColumn, IndexColumn, ownText } from '../growing.ts';
import { LineStore } from '../lineStore.ts';
import { inBatches, makePointSet } from '../pointSet.ts';
import type { OpenedFile, RawPosition } from '../types.ts';
import { Entity } from './entity.ts';
import { FaceStore } from './faces.ts';
import { objectPlane } from './objectPlane.ts';
import { PolylineInProgress } from './polyline.ts';

/** $INSUNITS by the published DXF reference; kinds that no survey is in are left out. */
const insertUnits: Readonly<Record<number, LengthUnit>> = {
  1: 'in',
  2: 'ft',
  4: 'mm',
  5: 'cm',
  6: 'm',
  21: 'us-ft',
};

/** Chords stay within 5 mm of a curve. */
const chordTolerance = 0.005;
const mostLayers = 10_000;
/** Kinds of entities named one by one when they are not read. */
const mostKinds = 100;

/** Takes the pairs of a drawing file and makes of its entities what it holds. */
export class Drawing {
  readonly #faults = new Faults();
  readonly #lines = new LineStore(this.#faults);
  readonly #faces = new FaceStore();
  readonly #points = {
    places: new DoubleColumn(),
    rows: new IndexColumn(),
    layers: [] as string[],
    handles: [] as string[],
  };
  readonly #layerNames = new Map<string, string>();
  readonly #unread = new Map<string, number>();
  readonly #entity = new Entity();
  #polyline: PolylineInProgress | null = null;
  #section = '';
  #awaitsName = false;
  #variable = '';
  #unit: LengthUnit | null = null;
  #unitCode: string | null = null;
  #sawSection = false;
  #sawEnd = false;
  refused: Problem | null = null;

  /** One pair of the file; false when no more is wanted. */
  readonly take = (code: number, value: string, row: number): boolean => {
    if (code === 0) this.#begin(value.trim(), row);
    else if (this.#awaitsName && code === 2) {
      this.#section = value.trim();
      this.#awaitsName = false;
    } else if (this.#section === 'ENTITIES') this.#entity.take(code, value, row);
    else if (this.#section === 'HEADER') this.#header(code, value);
    return !this.#sawEnd && this.refused === null;
  };

  #header(code: number, value: string): void {
    if (code === 9) this.#variable = value.trim();
    else if (code === 70 && this.#variable === '$INSUNITS') {
      this.#unitCode = value.trim();
      this.#unit = insertUnits[Number(this.#unitCode)] ?? null;
    }
  }

  #begin(word: string, row: number): void {
    this.#finishEntity();
    if (!this.#sawSection && word !== 'SECTION' && word !== 'EOF')
      this.refused = fault({ code: 'notDxf', row, value: word, message: 'a DXF file begins with a SECTION' });
    if (word === 'SECTION') {
      this.#sawSection = true;
      this.#awaitsName = true;
    } else if (word === 'ENDSEC') this.#section = '';
    else if (word === 'EOF') this.#sawEnd = true;
    else if (this.#section === 'ENTITIES') this.#entity.begin(word, row);
  }

  #finishEntity(): void {
    const entity = this.#entity;
    const { type } = entity;
    if (type === '') return;
    const polyline = this.#polyline;
    if (polyline && type === 'VERTEX') {
      if (!this.#faulty(entity)) polyline.take(entity);
    } else {
      this.#finishPolyline();
      if (type !== 'SEQEND' && !entity.paperSpace) this.#read(entity);
    }
    entity.type = '';
  }

  #finishPolyline(): void {
    this.#polyline?.finish({
      lines: this.#lines,
      faces: this.#faces,
      faults: this.#faults,
      tolerance: this.#tolerance(),
    });
    this.#polyline = null;
  }

  #tolerance(): number {
    return chordTolerance / (this.#unit === null ? 1 : metresPer[this.#unit]);
  }

  /** Says what is wrong with an entity's numbers, if anything is. */
  #faulty({ bad, type }: Entity): boolean {
    if (!bad) return false;
    const message = `a ${type} has a value that is no number under group code ${bad.code}; left out`;
    this.#faults.say({ code: 'notANumber', row: bad.row, column: type, value: bad.value, message });
    return true;
  }

  #read(entity: Entity): void {
    if (this.#faulty(entity)) return;
    const { type } = entity;
    const layer = this.#layer(entity.layer);
    if (type === 'POINT') this.#point(entity, layer);
    else if (type === '3DFACE') this.#face(entity, layer);
    else if (type === 'LINE') this.#straight(entity, layer);
    else if (type === 'ARC') this.#arc(entity, layer);
    else if (type === 'POLYLINE' || type === 'LWPOLYLINE') {
      this.#polyline = new PolylineInProgress(entity, layer);
      if (type === 'LWPOLYLINE') this.#finishPolyline();
    } else {
      const kind = this.#unread.has(type) || this.#unread.size < mostKinds ? ownText(type) : 'others';
      this.#unread.set(kind, (this.#unread.get(kind) ?? 0) + 1);
    }
  }

  #layer(name: string): string {
    const known = this.#layerNames.get(name);
    if (known !== undefined) return known;
    const own = ownText(name).replace(/\\U\+([0-9a-f]{4})/gi, (_, hex) =>
      String.fromCharCode(parseInt(hex, 16)),
    );
    this.#layerNames.set(name, own);
    if (this.#layerNames.size > mostLayers)
      this.refused = fault({
        code: 'tooMany',
        message: `more than ${mostLayers.toLocaleString('en')} layers in one drawing`,
      });
    return own;
  }

  #position(entity: Entity, k: number): RawPosition | null {
    const [x, y, z] = [entity.number(10 + k), entity.number(20 + k), entity.number(30 + k)];
    return Number.isNaN(x) || Number.isNaN(y) ? null : [x, y, Number.isNaN(z) ? null : z];
  }

  #lacks(entity: Entity): void {
    const message = `a ${entity.type} lacks a coordinate; left out`;
    this.#faults.say({ code: 'places', row: entity.row, column: entity.type, message });
  }

  #point(entity: Entity, layer: string): void {
    const position = this.#position(entity, 0);
    if (!position) {
      this.#lacks(entity);
      return;
    }
    const { places, rows, layers, handles } = this.#points;
    places.push(position[0]);
    places.push(position[1]);
    places.push(position[2] ?? Number.NaN);
    rows.push(entity.row);
    layers.push(layer);
    handles.push(ownText(entity.handle));
  }

  #face(entity: Entity, layer: string): void {
    const corners: [number, number, number][] = [];
    for (let k = 0; k < 4; k++) {
      const position = this.#position(entity, k);
      if (position?.[2] != null) corners.push([position[0], position[1], position[2]]);
      else if (k < 3) {
        this.#lacks(entity);
        return;
      }
    }
    this.#faces.add(layer, corners);
  }

  #straight(entity: Entity, layer: string): void {
    const positions = [this.#position(entity, 0), this.#position(entity, 1)].filter((p) => p !== null);
    if (positions.length < 2) {
      this.#lacks(entity);
      return;
    }
    this.#lines.add({ name: '', role: layer, positions, row: entity.row });
  }

  /** An arc turns counter-clockwise from its start angle to its end angle, in degrees. */
  #arc(entity: Entity, layer: string): void {
    const centre = this.#position(entity, 0);
    const [radius, from, to] = [entity.number(40), entity.number(50), entity.number(51)];
    if (!centre || !(radius > 0) || Number.isNaN(from + to)) {
      this.#lacks(entity);
      return;
    }
    const at = (degrees: number): Place => {
      const angle = (degrees * Math.PI) / 180;
      return [centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)];
    };
    const start = at(from);
    const arc = { start, end: at(to), centre: [centre[0], centre[1]] as const, counterClockwise: true };
    const plane = objectPlane(entity.normal);
    const positions = [start, ...arcPoints(arc, this.#tolerance())].map(
      ([x, y]): RawPosition => (plane ? plane(x, y, centre[2]) : [x, y, centre[2]]),
    );
    this.#lines.add({ name: '', role: layer, positions, row: entity.row });
  }

  /** What the drawing holds, once it is read to its end. */
  finish(): OpenedFile | Problem {
    this.#finishEntity();
    this.#finishPolyline();
    if (this.refused) return this.refused;
    if (!this.#sawSection) return fault({ code: 'notDxf', message: 'no section of a DXF file is in it' });
    const faults = this.#faults;
    if (!this.#sawEnd)
      faults.say({ code: 'cutOff', message: 'the file ends without its EOF mark: it may be cut off' });
    if (this.#unit === null && this.#unitCode !== null && this.#unitCode !== '0')
      faults.say({
        code: 'unknownUnit',
        column: '$INSUNITS',
        value: this.#unitCode,
        message: 'not a unit that is read',
      });
    for (const [kind, count] of this.#unread)
      faults.say({
        code: 'ignored',
        column: kind,
        message: `entities of this kind are not read (${count} in the file)`,
      });
    const tins = this.#faces.tins(faults);
    const points = this.#pointSets();
    const { lines } = this.#lines;
    if (tins.length + points.length + lines.length === 0)
      return fault({ code: 'nothing', message: 'the drawing holds no points, faces or lines' });
    return {
      format: 'dxf',
      crs: null,
      units: { horizontal: this.#unit, vertical: this.#unit },
      points,
      layers: [],
      tins,
      lines,
      grids: [],
      problems: faults.list,
    };
  }

  #pointSets() {
    const { places, rows, layers, handles } = this.#points;
    if (rows.length === 0) return [];
    const shots = inBatches(rows.length, (i) => ({
      row: rows.at(i),
      point: handles[i],
      easting: places.at(3 * i),
      northing: places.at(3 * i + 1),
      elevation: places.at(3 * i + 2),
      code: layers[i],
      sigma: null,
    }));
    return [makePointSet('POINT', rows.length, shots)];
  }
}
