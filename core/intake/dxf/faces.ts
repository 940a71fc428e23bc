import { counted } from '../../units/count.ts';
import type { Faults } from '../faults.ts';
import { DoubleColumn, IndexColumn } from '../growing.ts';
import type { RawTin } from '../types.ts';

type Corner = readonly [x: number, y: number, z: number];

interface LayerFaces {
  points: DoubleColumn;
  faces: IndexColumn;
  byPlace: Map<string, number>;
}

/** Faces of a drawing, one surface a layer. Corners at one place become one point. */
export class FaceStore {
  readonly #layers = new Map<string, LayerFaces>();
  #quads = 0;
  #bent = 0;
  #collapsed = 0;

  /** A face of three or four corners. One of four is cut along its first diagonal. */
  add(layer: string, corners: readonly Corner[]): void {
    const store = this.#layer(layer);
    const points = corners.map((corner) => this.#point(store, corner));
    const [a, b, c, d] = points;
    if (d === undefined || d === c || d === a) this.#triangle(store, a, b, c);
    else {
      this.#quads++;
      if (isBent(corners)) this.#bent++;
      this.#triangle(store, a, b, c);
      this.#triangle(store, a, c, d);
    }
  }

  #layer(name: string): LayerFaces {
    const known = this.#layers.get(name);
    if (known) return known;
    const made = { points: new DoubleColumn(), faces: new IndexColumn(), byPlace: new Map<string, number>() };
    this.#layers.set(name, made);
    return made;
  }

  #point({ points, byPlace }: LayerFaces, [x, y, z]: Corner): number {
    const key = `${x} ${y} ${z}`;
    const known = byPlace.get(key);
    if (known !== undefined) return known;
    const index = points.length / 3;
    byPlace.set(key, index);
    points.push(x);
    points.push(y);
    points.push(z);
    return index;
  }

  #triangle({ faces }: LayerFaces, a: number, b: number, c: number): void {
    if (a === b || b === c || a === c) {
      this.#collapsed++;
      return;
    }
    faces.push(a);
    faces.push(b);
    faces.push(c);
  }

  tins(faults: Faults): RawTin[] {
    if (this.#bent > 0)
      faults.say({
        code: 'bentFaces',
        message: `${this.#bent} of ${counted(this.#quads, 'face')} of four corners ${this.#bent === 1 ? 'is' : 'are'} not flat; cut from the first corner to the third`,
      });
    if (this.#collapsed > 0)
      faults.say({
        code: 'face',
        message: `${counted(this.#collapsed, 'face has', 'faces have')} two corners at one place; left out`,
      });
    const tins: RawTin[] = [];
    for (const [name, { points, faces }] of this.#layers) {
      if (faces.length > 0) tins.push({ name, points: points.done(), faces: faces.done(), invisible: 0 });
    }
    return tins;
  }
}

/** The two diagonals of a flat face of four corners meet; a volume as large as a hair over the face is no fault. */
function isBent([a, b, c, d]: readonly Corner[]): boolean {
  const [u, v, w] = [b, c, d].map((p) => [p[0] - a[0], p[1] - a[1], p[2] - a[2]]);
  const normal = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const area = Math.hypot(normal[0], normal[1], normal[2]);
  const off = Math.abs(normal[0] * w[0] + normal[1] * w[1] + normal[2] * w[2]);
  return off > 0.001 * area;
}
