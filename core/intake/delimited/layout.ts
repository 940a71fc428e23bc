import { type Dialect, splitLine } from './dialect.ts';
import {
  hasBareAxes,
  isKnownHeading,
  type ReadColumn,
  readColumnHeading,
  type ShotMeaning,
} from './headings.ts';
import { readNumber } from './number.ts';

/** Where the columns of a point file stand (-1: absent). */
export interface ShotLayout {
  at: Record<ShotMeaning, number>;
  /** Fields a row has at most; the last one may hold delimiters when it is the code. */
  count: number;
  /** Fields a row has at least. */
  least: number;
  /** Index of a description that keeps the rest of the line; -1 for none. */
  restFrom: number;
  /** What says which column is which. */
  from: 'headings' | 'given' | 'order';
  /** Neither headings nor the user say which of the two axes is north. */
  axesInDoubt: boolean;
  columns: ReadColumn[];
}

const meanings: readonly ShotMeaning[] = [
  'point',
  'northing',
  'easting',
  'elevation',
  'code',
  'sigma',
  'fix',
  'epoch',
  'lat',
  'lon',
];

/** Columns in an order that the user gave, or that rows without headings show; null skips a column. */
export function layoutOfOrder(order: readonly (ShotMeaning | null)[], from: 'given' | 'order'): ShotLayout {
  const columns = order.map((meaning, index): ReadColumn => {
    const heading = meaning ?? `column ${index + 1}`;
    return { heading, name: heading, unit: null, meaning };
  });
  return layoutOfColumns(columns, from, from === 'order');
}

export function layoutOfHeadings(headings: readonly string[]): ShotLayout {
  const columns = headings.map(readColumnHeading);
  return layoutOfColumns(columns, 'headings', hasBareAxes(columns));
}

function layoutOfColumns(columns: ReadColumn[], from: ShotLayout['from'], axesInDoubt: boolean): ShotLayout {
  const at = {} as ShotLayout['at'];
  for (const meaning of meanings) at[meaning] = columns.findIndex((column) => column.meaning === meaning);
  let count = columns.length;
  while (from === 'headings' && count > 1 && columns[count - 1].heading === '') count--;
  const isLast = at.code >= 0 && at.code === count - 1;
  const needed = [at.northing, at.easting, at.elevation, at.lat, at.lon];
  return {
    at,
    count: columns.length,
    least: Math.max(...needed) + 1,
    restFrom: isLast ? at.code : -1,
    from,
    axesInDoubt,
    columns,
  };
}

/**
 * Whether the first of some rows names columns: none of its fields is a number, and it has known names or stands above
 * numbers.
 */
export function isHeading(rows: readonly string[][], dialect: Dialect): boolean {
  const [first, ...others] = rows;
  if (first === undefined) return false;
  const isNumber = (field: string): boolean => !Number.isNaN(readNumber(field, 0, field.length, dialect));
  if (first.some(isNumber)) return false;
  const named = first.filter((field) => isKnownHeading(readColumnHeading(field))).length;
  if (named >= 2) return true;
  const above = first.filter(
    (field, index) => field !== '' && others.some((row) => isNumber(row[index] ?? '')),
  );
  return above.length >= 2 || (named > 0 && first.length >= 2 && (above.length > 0 || others.length === 0));
}

/**
 * Order of columns without headings. PNEZD is what point files have (point file formats of CAD developer guides); rows
 * that start with a coordinate have no point name. Null when fewer than three numbers stand side by side.
 */
export function guessOrder(lines: readonly string[], dialect: Dialect): ShotMeaning[] | null {
  const rows = lines.slice(0, 60).map((line) => splitLine(line, dialect.delimiter));
  const share = (index: number, is: (field: string) => boolean): number =>
    rows.filter((row) => is(row[index] ?? '')).length / rows.length;
  // Looser than reading: a number with the wrong mark still shows which column it stands in.
  const isNumber = (field: string): boolean => /^[+\-−]?[\d.,'’\s]*\d[\d.,'’\s]*(e[+-]?\d+)?$/i.test(field);
  // A blank counts as the number that is missing there.
  const numeric = (index: number): boolean =>
    share(index, (field) => isNumber(field) || field === '') > 0.5 && share(index, isNumber) > 0.3;
  const sizes = rows.map((row) => row.length).sort((a, b) => a - b);
  const usual = sizes[sizes.length >> 1];
  const whole = share(0, (field) => /^\d*$/.test(field));
  const isPointFirst = !numeric(0) || (numeric(3) && (whole > 0.5 || share(1, isNumber) < 0.5));
  if (usual >= 4 && numeric(1) && numeric(2) && numeric(3) && isPointFirst) {
    return usual === 4
      ? ['point', 'northing', 'easting', 'elevation']
      : ['point', 'northing', 'easting', 'elevation', 'code'];
  }
  if (usual >= 3 && numeric(0) && numeric(1) && numeric(2)) {
    return usual === 3 ? ['northing', 'easting', 'elevation'] : ['northing', 'easting', 'elevation', 'code'];
  }
  return null;
}
