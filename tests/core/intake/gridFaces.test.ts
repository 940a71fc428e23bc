import { describe, expect, it } from 'vitest';
import { type GridPart, gridParts } from '#core/intake/gridFaces.ts';
import type { RawGrid } from '#core/intake/types.ts';
import { layOutDesign } from '#core/surface/design.ts';
import { facesAt } from '#core/surface/triangles.ts';

function gridOf(columns: number, rows: number, value: (column: number, row: number) => number): RawGrid {
  return {
    name: 'g',
    columns,
    rows,
    firstX: 1000,
    firstY: 2000,
    cellX: 2,
    cellY: 3,
    noData: null,
    async window(column, row, width, height) {
      return Float64Array.from({ length: width * height }, (_, at) =>
        value(column + (at % width), row + Math.floor(at / width)),
      );
    },
  };
}

async function partsOf(grid: RawGrid, wanted?: Parameters<typeof gridParts>[1]): Promise<GridPart[]> {
  const parts: GridPart[] = [];
  for await (const part of gridParts(grid, wanted)) parts.push(part);
  return parts;
}

const total = (parts: readonly GridPart[]) => parts.reduce((sum, { faces }) => sum + faces.length / 3, 0);

/** Twice the area of all faces in plan; negative where corners go clockwise. */
function twiceArea({ points, faces }: GridPart): number[] {
  return Array.from({ length: faces.length / 3 }, (_, face) => {
    const [a, b, c] = [0, 1, 2].map((corner) => 3 * faces[3 * face + corner]);
    return (
      (points[b] - points[a]) * (points[c + 1] - points[a + 1]) -
      (points[c] - points[a]) * (points[b + 1] - points[a + 1])
    );
  });
}

describe('faces of a grid', () => {
  it.each([
    [2, 2],
    [101, 101],
    [350, 530],
    [1, 40],
    [3000, 3],
  ])('of %d by %d cells cover it once, without seams between parts and bands', async (columns, rows) => {
    const parts = await partsOf(gridOf(columns, rows, () => 5));
    expect(total(parts)).toBe(2 * (columns - 1) * (rows - 1));
    const areas = parts.flatMap(twiceArea);
    expect(areas.every((area) => area > 0)).toBe(true);
    expect(areas.reduce((sum, area) => sum + area, 0)).toBeCloseTo(2 * (columns - 1) * (rows - 1) * 6, 6);
    expect(parts.every(({ faces }) => faces.length / 3 <= 20_000)).toBe(true);
  });

  it('stand on the plane that the cells lie in, wherever it is asked', async () => {
    const plane = (x: number, y: number) => 100 + 0.02 * (x - 1000) - 0.013 * (y - 2000);
    const grid = gridOf(60, 40, (column, row) => plane(1000 + 2 * column, 2000 - 3 * row));
    const [part] = await partsOf(grid);
    const surface = layOutDesign({ name: 'g', ...part }, 1);
    for (const [x, y] of [
      [1000.7, 1999.1],
      [1055.3, 1920.2],
      [1117.9, 1883.5],
    ]) {
      const [face] = facesAt(surface, x, y);
      expect(face.elevation).toBeCloseTo(plane(x, y), 9);
    }
  });

  it('are none over cells without a value, and three cells with one are a face', async () => {
    const hole = await partsOf(gridOf(3, 3, (column, row) => (column === 1 && row === 1 ? Number.NaN : 5)));
    expect(total(hole)).toBe(4);
    expect(hole.flatMap(twiceArea).every((area) => area === 6)).toBe(true);
    expect(await partsOf(gridOf(2, 2, (column) => (column === 0 ? Number.NaN : 5)))).toEqual([]);
    expect(await partsOf(gridOf(2, 2, () => -9999))).toEqual([]);
  });

  it('split four cells along the diagonal whose ends differ less', async () => {
    // A bank along north-west to south-east: the two other corners lie low.
    const ridge = [5, 1, 1, 5];
    const [part] = await partsOf(gridOf(2, 2, (column, row) => ridge[2 * row + column]));
    const ends = [0, 1].map((face) =>
      [0, 1, 2].map((corner) => part.points[3 * part.faces[3 * face + corner] + 2]).sort(),
    );
    expect(ends).toEqual([
      [1, 5, 5],
      [1, 5, 5],
    ]);
  });

  it('are made only of the parts that are wanted', async () => {
    const parts = await partsOf(
      gridOf(1000, 300, () => 5),
      ({ west }) => west === 1000,
    );
    expect(total(parts)).toBe(2 * 100 * 299);
  });
});
