import { counted } from '../../units/count.ts';
import { bandHeight, isNoElevation } from '../gridFaces.ts';
import { refuseFile } from '../problemLog.ts';
import type { OpenedFile, RawGrid, RawLine, RawTin } from '../types.ts';
import type { CrsLookup, Said, SampleValue, Understanding } from '../understanding.ts';
import { Gathered } from './gathered.ts';
import { understandPlace } from './place.ts';
import { sampleSize } from './shots.ts';
import { understandVertical } from './vertical.ts';

type Part = Omit<Understanding, 'parts'>;
interface Asked {
  said: Said;
  lookup: CrsLookup;
}

interface Described {
  kind: Part['kind'];
  name: string;
  count: number;
  sample: { [name: string]: SampleValue }[];
  gathered: Gathered;
}

function describe(file: OpenedFile, part: Described, { said, lookup }: Asked): Part {
  const { gathered, ...rest } = part;
  const place = understandPlace({
    statement: file.crs,
    units: file.units,
    gathered,
    axesInDoubt: false,
    said,
    lookup,
  });
  const vertical = understandVertical({
    stated: file.units.vertical,
    statedFrom: 'file',
    metresPerUnit: place.metresPerUnit,
    gathered,
    said,
    consecutive: gathered.spread.slice(0, 2),
  });
  const questions = [...place.questions];
  if (vertical.question) questions.push(vertical.question);
  return {
    format: file.format,
    ...rest,
    bounds: gathered.bounds(place.swapped),
    lands: place.lands,
    crs: place.crs,
    units: { horizontal: place.horizontal, vertical: vertical.unit },
    columns: [],
    problems: [...file.problems, ...place.problems],
    questions,
  };
}

/** Triangulated surfaces; the count is that of the visible faces. */
export function understandTins(file: OpenedFile, tins: readonly RawTin[], asked: Asked): Part {
  const gathered = new Gathered();
  for (const { points } of tins) {
    for (let at = 0; at + 2 < points.length; at += 3)
      gathered.add(points[at], points[at + 1], points[at + 2]);
  }
  gathered.count = gathered.placed;
  const sample = tins.slice(0, sampleSize).map((tin) => ({
    surface: tin.name,
    points: tin.points.length / 3,
    faces: tin.faces.length / 3,
    invisible: tin.invisible,
    area: areaOf(tin),
  }));
  const count = tins.reduce((sum, { faces }) => sum + faces.length / 3, 0);
  return describe(file, { kind: 'design', name: tins[0].name, count, sample, gathered }, asked);
}

/** Horizontal area of the visible faces, in the square of the file's unit. */
function areaOf({ points, faces }: RawTin): number {
  let twice = 0;
  for (let at = 0; at + 2 < faces.length; at += 3) {
    const [a, b, c] = [3 * faces[at], 3 * faces[at + 1], 3 * faces[at + 2]];
    twice += Math.abs(
      (points[b] - points[a]) * (points[c + 1] - points[a + 1]) -
        (points[c] - points[a]) * (points[b + 1] - points[a + 1]),
    );
  }
  return Number((twice / 2).toFixed(4));
}

export function understandLines(file: OpenedFile, lines: readonly RawLine[], asked: Asked): Part {
  const gathered = new Gathered();
  for (const { positions } of lines) for (const [x, y, z] of positions) gathered.add(x, y, z ?? Number.NaN);
  const sample = lines.slice(0, sampleSize).map(({ name, role, positions }) => ({
    line: name,
    role,
    positions: positions.length,
    length: Number(lengthOf(positions).toFixed(4)),
  }));
  const part = describe(
    file,
    { kind: 'lines', name: lines[0].name, count: lines.length, sample, gathered },
    asked,
  );
  return part;
}

function lengthOf(positions: RawLine['positions']): number {
  let length = 0;
  for (let i = 1; i < positions.length; i++) {
    length += Math.hypot(positions[i][0] - positions[i - 1][0], positions[i][1] - positions[i - 1][1]);
  }
  return length;
}

/** Cells looked at for the range of elevations; of a larger grid only some bands are. */
const mostLookedAt = 200_000_000;

export async function understandGrid(file: OpenedFile, grid: RawGrid, asked: Asked): Promise<Part> {
  const gathered = new Gathered();
  const { columns, rows, firstX, firstY, cellX, cellY } = grid;
  const step = Math.max(1, Math.ceil((rows * columns) / mostLookedAt));
  let valid = 0;
  let looked = 0;
  let undeclared = 0;
  let mark = 0;
  const lastX = firstX + (columns - 1) * cellX;
  const lastY = firstY - (rows - 1) * cellY;
  const height = bandHeight(columns);
  for (let top = 0; top < rows; top += step * height) {
    const values = await grid.window(0, top, columns, Math.min(height, rows - top));
    looked += values.length;
    for (let at = 0; at < values.length; at++) {
      const z = values[at];
      if (Number.isNaN(z)) continue;
      if (isNoElevation(z)) {
        undeclared++;
        mark = z;
        continue;
      }
      valid++;
      gathered.add(firstX + (at % columns) * cellX, firstY - (top + Math.floor(at / columns)) * cellY, z);
    }
  }
  const sample = [
    {
      columns,
      rows,
      cellEast: cellX,
      cellNorth: cellY,
      firstEasting: firstX,
      firstNorthing: firstY,
      noData: grid.noData,
      cellsWithValue: valid,
    },
  ];
  const part = describe(
    file,
    { kind: 'grid', name: grid.name, count: columns * rows, sample, gathered },
    asked,
  );
  if (part.bounds) {
    part.bounds.minEasting = Math.min(firstX, lastX) - cellX / 2;
    part.bounds.maxEasting = Math.max(firstX, lastX) + cellX / 2;
    part.bounds.minNorthing = Math.min(firstY, lastY) - cellY / 2;
    part.bounds.maxNorthing = Math.max(firstY, lastY) + cellY / 2;
  } else part.problems.push(refuseFile('noValues', 'no cell of the grid has a value'));
  if (undeclared > 0) {
    const message = `the file does not say which value stands for no elevation; ${counted(undeclared, 'cell')} with ${mark} and the like ${undeclared === 1 ? 'is' : 'are'} taken for it`;
    part.problems.push(refuseFile('noDataNotSaid', message, String(mark)));
  }
  if (looked < columns * rows)
    part.problems.push(
      refuseFile('notAllRead', `every ${step}th band of rows was looked at for the range of elevations`),
    );
  return part;
}
