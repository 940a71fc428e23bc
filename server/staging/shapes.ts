import { createHash } from 'node:crypto';
import type { Layer, OpenedFile, RawLine, RawTin } from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import type { LineKind } from '#shared/line.ts';
import { slugOf } from '../slug.ts';
import type { Faces } from '../store/faces.ts';
import type { ProjectLine } from '../store/lines.ts';
import type { GridPosition } from '../store/tables.ts';
import type { Positioner } from './position.ts';

export interface ShapeReading {
  positioner: Positioner;
  elevationMetresPerUnit: number;
}

/** A design surface in the project's grid, with what its content is told by. */
export interface DesignSurface {
  name: string;
  faces: Faces;
  sha256: string;
}

/** Faces of a file's surfaces in the project's grid, metres. A surface that leaves the grid is one problem. */
export function toDesigns(
  tins: readonly RawTin[],
  { positioner, elevationMetresPerUnit }: ShapeReading,
  refuse: (problem: Problem) => void,
): DesignSurface[] {
  const designs: DesignSurface[] = [];
  for (const { name, points: raw, faces } of tins) {
    if (faces.length === 0) continue;
    const points = new Float64Array(raw.length);
    let isPlaced = true;
    for (let at = 0; at + 2 < raw.length; at += 3) {
      const [east, north] = positioner.toGrid(raw[at], raw[at + 1]);
      points[at] = east;
      points[at + 1] = north;
      points[at + 2] = raw[at + 2] * elevationMetresPerUnit;
      isPlaced &&= Number.isFinite(east) && Number.isFinite(north) && Number.isFinite(points[at + 2]);
    }
    if (!isPlaced) {
      const message = "a point of this surface has no place in the project's grid, or no elevation";
      refuse({ code: 'noPlace', row: null, column: null, value: name, message });
      continue;
    }
    designs.push({ name, faces: { points, faces }, sha256: hashOf({ points, faces }) });
  }
  return designs;
}

function hashOf({ points, faces }: Faces): string {
  const hash = createHash('sha256');
  for (const array of [points, faces]) {
    hash.update(new Uint8Array(array.buffer, array.byteOffset, array.byteLength));
  }
  return hash.digest('hex');
}

/** Lines of a file, whether the format has them as such or as a layer. */
export async function linesOf({ lines, layers }: OpenedFile): Promise<RawLine[]> {
  if (lines.length > 0) return lines;
  const layer = layers.find(({ geometry }) => geometry === 'line' || geometry === 'polygon');
  return layer ? linesOfLayer(layer) : [];
}

const nameColumn = /^(name|line|line_?id|id|label|street|title)$/i;

async function linesOfLayer(layer: Layer): Promise<RawLine[]> {
  const nameAt = layer.columns.findIndex(({ name }) => nameColumn.test(name));
  const kindAt = layer.columns.findIndex(({ name }) => /^(kind|type|role|code|layer)$/i.test(name));
  const lines: RawLine[] = [];
  for await (const batch of layer.features()) {
    for (const { geometry, values, row } of batch) {
      const name = String(values[nameAt] ?? `${layer.name} ${row}`);
      const role = String(values[kindAt] ?? layer.name);
      if (geometry?.type === 'line') lines.push({ name, role, positions: geometry.positions, row });
      for (const positions of geometry?.type === 'polygon' ? geometry.rings : []) {
        lines.push({ name, role: 'boundary', positions, row });
      }
    }
  }
  return lines;
}

/** What a line's own word for itself most likely means; null where it says nothing. */
export function likelyKind(role: string): LineKind | null {
  const word = role.toLowerCase();
  if (word === 'alignment' || /cent(er|re)|axis|alignment/.test(word)) return 'centre';
  if (/crown|^cl\d*$/.test(word)) return 'crown';
  if (/gutter|flow ?line|^(gu|fl)\d*$/.test(word)) return 'gutter';
  if (/edge|^ep\d*$/.test(word)) return 'edge';
  return word === 'boundary' ? 'other' : null;
}

const leastPositions = 2;

/** Lines as a project keeps them; `kindOf` says what a role stands for, null leaves its lines out. */
export function toLines(
  lines: readonly RawLine[],
  { positioner, elevationMetresPerUnit }: ShapeReading,
  { kindOf, refuse }: { kindOf: (role: string) => LineKind | null; refuse: (problem: Problem) => void },
): Omit<ProjectLine, 'version'>[] {
  const used = new Map<string, number>();
  const kept: Omit<ProjectLine, 'version'>[] = [];
  for (const { name, role, positions, row } of lines) {
    const kind = kindOf(role);
    const refuseLine = (code: string, message: string) =>
      refuse({ code, row, column: 'line', value: name || role, message });
    if (kind === null) {
      refuseLine('leftOut', `lines of "${role}" are not stored`);
      continue;
    }
    const places = positions.map(([x, y, z]): GridPosition => {
      const [east, north] = positioner.toGrid(x, y);
      return [east, north, z === null || Number.isNaN(z) ? null : z * elevationMetresPerUnit];
    });
    if (places.length < leastPositions) refuseLine('tooShort', 'a line needs two positions');
    else if (!places.every(([east, north]) => Number.isFinite(east) && Number.isFinite(north))) {
      refuseLine('noPlace', "a position of this line is no place in the project's grid");
    } else {
      const shown = (name || role || 'line').slice(0, 200);
      const stem = slugOf(shown) || 'line';
      const count = (used.get(stem) ?? 0) + 1;
      used.set(stem, count);
      kept.push({
        id: count === 1 ? stem : `${stem}-${count}`,
        kind,
        name: shown,
        street: null,
        positions: places,
      });
    }
  }
  return kept;
}
