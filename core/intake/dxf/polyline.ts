import { counted } from '../../units/count.ts';
import { arcPoints, type Place } from '../arcs.ts';
import type { Faults } from '../faults.ts';
import { type LineStore, mostLinePlaces } from '../lineStore.ts';
import type { RawPosition } from '../types.ts';
import type { Entity } from './entity.ts';
import type { FaceStore } from './faces.ts';
import { objectPlane } from './objectPlane.ts';

/** Bits of group code 70 of a POLYLINE (published DXF reference). */
const closedBit = 1;
const threeDimensionalBit = 8;
const meshBit = 16;
const polyfaceBit = 64;
/** Bits of group code 70 of a VERTEX. */
const splineFrameBit = 16;
const polyfacePlaceBit = 64;
const polyfaceBitOfVertex = 128;

interface Vertex {
  x: number;
  y: number;
  z: number | null;
  /** Tangent of a quarter of the angle that the piece to the next vertex turns through, positive to the left. */
  bulge: number;
}

export interface PolylineTools {
  lines: LineStore;
  faces: FaceStore;
  faults: Faults;
  /** Chords stay this near to a curve, in the file's unit. */
  tolerance: number;
}

/** A polyline, of vertices of its own or of VERTEX entities that follow it; or a mesh of faces in that form. */
export class PolylineInProgress {
  readonly #layer: string;
  readonly #row: number;
  readonly #flags: number;
  readonly #isLight: boolean;
  readonly #plane: ReturnType<typeof objectPlane>;
  readonly #elevation: number | null;
  readonly #vertices: Vertex[] = [];
  /** Corner numbers of a polyface mesh, from 1. */
  readonly #corners: number[][] = [];

  constructor(entity: Entity, layer: string) {
    this.#layer = layer;
    this.#row = entity.row;
    this.#flags = entity.flags(70);
    this.#isLight = entity.type === 'LWPOLYLINE';
    this.#plane = this.#isFlat ? objectPlane(entity.normal) : null;
    const elevation = entity.number(this.#isLight ? 38 : 30);
    this.#elevation = Number.isNaN(elevation) ? null : elevation;
    for (let i = 0; i < entity.vertices.length; i += 3) {
      const [x, y, bulge] = entity.vertices.slice(i, i + 3);
      this.#vertices.push({ x, y, z: this.#elevation, bulge });
    }
  }

  get #isFlat(): boolean {
    return this.#isLight || (this.#flags & (threeDimensionalBit | meshBit | polyfaceBit)) === 0;
  }

  take(vertex: Entity): void {
    const kind = vertex.flags(70);
    if (kind & splineFrameBit || this.#vertices.length > mostLinePlaces) return;
    if (this.#flags & polyfaceBit && kind & polyfaceBitOfVertex && !(kind & polyfacePlaceBit)) {
      // A negative number is a corner before a hidden side.
      const corners = [71, 72, 73, 74].map((code) => Math.abs(vertex.flags(code))).filter((c) => c > 0);
      this.#corners.push(corners);
      return;
    }
    const z = vertex.number(30);
    this.#vertices.push({
      x: vertex.number(10),
      y: vertex.number(20),
      z: this.#isFlat ? this.#elevation : Number.isNaN(z) ? null : z,
      bulge: vertex.flags(42),
    });
  }

  finish(tools: PolylineTools): void {
    const { faults } = tools;
    const say = (message: string) =>
      faults.say({ code: 'polyline', row: this.#row, column: this.#layer, message });
    if (this.#vertices.some((v) => Number.isNaN(v.x) || Number.isNaN(v.y))) {
      say('a polyline has a vertex that lacks a coordinate; left out');
    } else if (this.#flags & polyfaceBit && !this.#isLight) this.#addFaces(tools, say);
    else if (this.#flags & meshBit && !this.#isLight) say('a mesh of rows and columns is not read');
    else if (this.#vertices.length < 2) say('a polyline has fewer than two vertices; left out');
    else
      tools.lines.add({
        name: '',
        role: this.#layer,
        row: this.#row,
        positions: this.#trace(tools.tolerance),
      });
  }

  #trace(tolerance: number): RawPosition[] {
    const vertices = this.#vertices;
    const isClosed = (this.#flags & closedBit) !== 0;
    const place = (v: { x: number; y: number; z: number | null }): RawPosition =>
      this.#plane ? this.#plane(v.x, v.y, v.z) : [v.x, v.y, v.z];
    const positions = [place(vertices[0])];
    const pieces = isClosed ? vertices.length : vertices.length - 1;
    for (let i = 0; i < pieces; i++) {
      const from = vertices[i];
      const to = vertices[(i + 1) % vertices.length];
      for (const [x, y] of bulged(from, to, this.#isFlat ? tolerance : 0).slice(0, -1))
        positions.push(place({ x, y, z: from.z }));
      positions.push(place(to));
    }
    return positions;
  }

  #addFaces({ faces }: PolylineTools, say: (message: string) => void): void {
    let lost = 0;
    for (const corners of this.#corners) {
      const found = corners.map((c) => this.#vertices[c - 1]);
      if (corners.length < 3 || found.some((v) => v === undefined || v.z === null)) lost++;
      else
        faces.add(
          this.#layer,
          found.map((v) => [v.x, v.y, v.z as number] as const),
        );
    }
    if (lost > 0)
      say(
        `${counted(lost, 'face of a mesh names', 'faces of a mesh name')} a vertex that is not there; left out`,
      );
  }
}

/** Places after `from` up to and with `to`, on the arc between them if the piece has a bulge. */
function bulged(from: Vertex, to: Vertex, tolerance: number): Place[] {
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const end: Place = [to.x, to.y];
  if (from.bulge === 0 || tolerance === 0 || (dx === 0 && dy === 0)) return [end];
  // The centre lies on the chord's perpendicular: bulge b = tan(angle / 4), so its distance is (1 - b^2) / 4b chords.
  const off = (1 - from.bulge ** 2) / (4 * from.bulge);
  const centre: Place = [from.x + dx / 2 - off * dy, from.y + dy / 2 + off * dx];
  return arcPoints({ start: [from.x, from.y], end, centre, counterClockwise: from.bulge > 0 }, tolerance);
}
