import type { Problem } from '../problem.ts';
import { metresOfHeading, readHeading } from '../units/heading.ts';

export type ShotColumn = 'point' | 'northing' | 'easting' | 'elevation' | 'code' | 'sigma';

/** Where each column of a point file stands (-1: absent) and how many metres one unit of it has. */
export interface ShotColumns {
  at: Record<ShotColumn, number>;
  metres: Record<'northing' | 'easting' | 'elevation' | 'sigma', number>;
  count: number;
}

export interface ShotUnits {
  metresPerUnit: number;
  elevationMetresPerUnit: number;
}

/** PNEZD: point, northing, easting, elevation, description (point file formats of CAD developer guides). */
export const pnezdOrder: readonly ShotColumn[] = ['point', 'northing', 'easting', 'elevation', 'code'];

const names: Readonly<Record<string, ShotColumn>> = {
  point: 'point',
  point_number: 'point',
  point_id: 'point',
  point_name: 'point',
  pt: 'point',
  p: 'point',
  number: 'point',
  id: 'point',
  northing: 'northing',
  north: 'northing',
  n: 'northing',
  easting: 'easting',
  east: 'easting',
  e: 'easting',
  elevation: 'elevation',
  elev: 'elevation',
  height: 'elevation',
  level: 'elevation',
  z: 'elevation',
  code: 'code',
  description: 'code',
  desc: 'code',
  d: 'code',
  sigma: 'sigma',
};

/** Columns in a given order, in the units of the file's coordinate system. */
export function columnsInOrder(order: readonly ShotColumn[], units: ShotUnits): ShotColumns {
  return {
    at: {
      point: order.indexOf('point'),
      northing: order.indexOf('northing'),
      easting: order.indexOf('easting'),
      elevation: order.indexOf('elevation'),
      code: order.indexOf('code'),
      sigma: order.indexOf('sigma'),
    },
    metres: {
      northing: units.metresPerUnit,
      easting: units.metresPerUnit,
      elevation: units.elevationMetresPerUnit,
      sigma: units.elevationMetresPerUnit,
    },
    count: order.length,
  };
}

/**
 * Whether a first line names columns: at least two of its fields are names that are known, or no field after the first
 * has a digit, so that it cannot be a shot.
 */
export function isHeadingLine(fields: readonly string[]): boolean {
  const named = fields.filter((field) => Object.hasOwn(names, readHeading(field).name)).length;
  return (
    named >= 2 || (fields.length >= 4 && !fields.slice(1).some((field) => /\d/.test(field) || field === ''))
  );
}

export interface HeadingResult {
  columns: ShotColumns | null;
  problems: Problem[];
  warnings: Problem[];
}

/** Reads a heading line; without northing, easting or elevation there are no columns. */
export function readShotHeadings(fields: readonly string[], row: number, units: ShotUnits): HeadingResult {
  const columns = columnsInOrder([], units);
  columns.count = fields.length;
  const problems: Problem[] = [];
  const warnings: Problem[] = [];
  const say = (list: Problem[], code: string, column: string, message: string): void => {
    list.push({ code, row, column, value: null, message });
  };
  fields.forEach((field, index) => {
    const heading = readHeading(field);
    const column = Object.hasOwn(names, heading.name) ? names[heading.name] : null;
    if (heading.name === 'x' || heading.name === 'y') {
      say(
        problems,
        'ambiguousColumn',
        field,
        'x is east in one country and north in another; write easting or northing',
      );
    } else if (column === null) {
      say(warnings, 'unknownColumn', field, 'not a column of a point file, so it is not read');
    } else if (columns.at[column] >= 0) {
      say(problems, 'duplicateColumn', field, `a second column of ${column}; keep one`);
    } else if (column === 'sigma' && heading.unit === null) {
      say(
        problems,
        'noUnit',
        field,
        'a sigma needs its unit in the heading: sigma_mm, sigma_m, sigma_ft or sigma_in',
      );
    } else {
      columns.at[column] = index;
      if (column !== 'point' && column !== 'code') {
        columns.metres[column] = metresOfHeading(heading.unit, columns.metres[column]);
      }
    }
  });
  for (const column of ['northing', 'easting', 'elevation'] as const) {
    if (columns.at[column] < 0)
      say(problems, 'missingColumn', column, 'the heading line names no such column');
  }
  return { columns: problems.length === 0 ? columns : null, problems, warnings };
}
