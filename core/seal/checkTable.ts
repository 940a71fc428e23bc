import type { VacuumRow, VacuumTable } from './types.ts';
import { diametersOf, rowsOf } from './vacuum.ts';

/** Something in a table that whoever enters it should look at. Figures in the table's units. Worded in words.ts. */
export interface TableQuestion {
  code:
    | 'pressuresOutOfOrder'
    | 'bandEmpty'
    | 'bandsShare'
    | 'bandsOverlap'
    | 'bandsGap'
    | 'bandsEnd'
    | 'sameRow'
    | 'shorterDeeper'
    | 'shorterWider'
    | 'someWithoutDiameter'
    | 'betweenDiameters'
    | 'agencyDefined';
  values: Record<string, number>;
}

type Banded = VacuumRow & { depth: NonNullable<VacuumRow['depth']> };

const question = (code: TableQuestion['code'], values: TableQuestion['values'] = {}): TableQuestion => ({
  code,
  values,
});

/**
 * Questions to whoever enters a table: bands that share a depth, overlap or leave a gap, times that fall with depth or
 * diameter, diameters between rows. None of them refuses the table; `requiredTime` takes the longer time meanwhile.
 */
export function checkTable(table: VacuumTable): TableQuestion[] {
  const { rows, drawInHg, startInHg, endInHg, scope } = table;
  const found: TableQuestion[] = [];
  if (!(drawInHg >= startInHg && startInHg > endInHg))
    found.push(question('pressuresOutOfOrder', { drawInHg, startInHg, endInHg }));
  const sizes = diametersOf(rows);
  if (sizes.length > 0 && rows.some(({ diameter }) => diameter === null))
    found.push(question('someWithoutDiameter'));
  for (const diameter of sizes.length > 0 ? sizes : [null])
    found.push(...checkColumn(rowsOf(rows, diameter), diameter));
  for (const [index, diameter] of sizes.entries()) {
    const next = sizes[index + 1];
    if (next === undefined) continue;
    found.push(question('betweenDiameters', { diameter, next }));
    if (longest(rowsOf(rows, next)) < longest(rowsOf(rows, diameter)))
      found.push(question('shorterWider', { diameter, next }));
  }
  if (scope === 'chimney') found.push(question('agencyDefined'));
  return found;
}

const longest = (rows: readonly VacuumRow[]) => Math.max(...rows.map(({ seconds }) => seconds));

/** The rows of one diameter, from shallow to deep. */
function checkColumn(rows: readonly VacuumRow[], diameter: number | null): TableQuestion[] {
  const found: TableQuestion[] = [];
  const size: Record<string, number> = diameter === null ? {} : { diameter };
  const plain = rows.filter(({ depth }) => depth === null);
  if (plain.length > 1 || (plain.length > 0 && plain.length < rows.length))
    found.push(question('sameRow', size));
  const bands = rows
    .filter((row): row is Banded => row.depth !== null)
    .sort((a, b) => a.depth.from - b.depth.from);
  for (const { depth } of bands) {
    const { from, to, includesFrom, includesTo } = depth;
    if (to !== null && (to < from || (to === from && !(includesFrom && includesTo))))
      found.push(question('bandEmpty', { ...size, from, to }));
  }
  for (const [index, band] of bands.entries()) {
    const next = bands[index + 1];
    if (next) found.push(...between(band, next, size));
  }
  const last = bands.at(-1);
  if (last?.depth.to != null) found.push(question('bandsEnd', { ...size, depth: last.depth.to }));
  return found;
}

function between(band: Banded, next: Banded, size: Record<string, number>): TableQuestion[] {
  const found: TableQuestion[] = [];
  const { to, includesTo } = band.depth;
  const { from, includesFrom } = next.depth;
  if (to === null || to > from) found.push(question('bandsOverlap', { ...size, from, to: to ?? from }));
  else if (to < from) found.push(question('bandsGap', { ...size, from: to, to: from }));
  else if (includesTo && includesFrom) found.push(question('bandsShare', { ...size, depth: from }));
  else if (!includesTo && !includesFrom) found.push(question('bandsGap', { ...size, from, to: from }));
  if (next.seconds < band.seconds) found.push(question('shorterDeeper', { ...size, depth: from }));
  return found;
}
