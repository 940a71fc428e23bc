import type { Problem } from '../problem.ts';
import { metresOfHeading, readHeading } from '../units/heading.ts';

/** How the value under a heading is read. `size`: a length that must carry its unit; `ratio`: rise over run. */
type Kind = 'text' | 'grid' | 'elevation' | 'size' | 'degrees' | 'ratio' | 'choice';

/** The columns of a register file, by the name of their heading without its unit. */
const kinds = {
  id: 'text',
  kind: 'text',
  owner: 'text',
  street: 'text',
  northing: 'grid',
  easting: 'grid',
  lat: 'degrees',
  lon: 'degrees',
  rim_elevation: 'elevation',
  seat_elevation: 'elevation',
  frame_height: 'size',
  rim_diameter: 'size',
  set_down: 'size',
  structure_depth: 'size',
  structure_diameter: 'size',
  road_bearing: 'degrees',
  seat_gradient_east: 'ratio',
  seat_gradient_north: 'ratio',
  adjustment: 'choice',
  located: 'choice',
  chimney_unsound: 'choice',
  frame_unsound: 'choice',
} as const satisfies Record<string, Kind>;

export type RegisterColumn = keyof typeof kinds;

const otherNames: Readonly<Record<string, RegisterColumn>> = {
  latitude: 'lat',
  longitude: 'lon',
  lng: 'lon',
  road_bearing_deg: 'road_bearing',
  lat_deg: 'lat',
  lon_deg: 'lon',
};

export interface RegisterUnits {
  /** Metres in one unit of northing and easting. */
  metresPerUnit: number;
  /** Metres in one unit of the elevations whose heading names none. */
  elevationMetresPerUnit: number;
}

/** Where a column stands, and what one unit of it is in metres (1 for text, ratios and degrees). */
export interface RegisterColumns {
  at: Map<RegisterColumn, { index: number; heading: string; metres: number }>;
  problems: Problem[];
  warnings: Problem[];
}

export function readRegisterHeadings(
  fields: readonly string[],
  row: number,
  units: RegisterUnits,
): RegisterColumns {
  const result: RegisterColumns = { at: new Map(), problems: [], warnings: [] };
  const say = (list: Problem[], code: string, column: string, message: string): void => {
    list.push({ code, row, column, value: null, message });
  };
  fields.forEach((text, index) => {
    const heading = readHeading(text);
    const column = columnOf(heading.name);
    if (column === null) {
      if (text.trim() !== '') {
        say(result.warnings, 'unknownColumn', text.trim(), 'not a column of the register, so it is not read');
      }
      return;
    }
    const refusal = unitRefusal(column, heading.name, heading.unit !== null);
    if (refusal !== null) {
      say(result.problems, refusal.code, text.trim(), refusal.message);
    } else if (result.at.has(column)) {
      say(result.problems, 'duplicateColumn', text.trim(), `a second column of ${column}; keep one`);
    } else {
      const metres = metresOfHeading(heading.unit, defaultMetres(kinds[column], units));
      result.at.set(column, { index, heading: text.trim(), metres });
    }
  });
  if (!result.at.has('id')) say(result.problems, 'missingColumn', 'id', 'a register needs a column of ids');
  return result;
}

function columnOf(name: string): RegisterColumn | null {
  if (Object.hasOwn(kinds, name)) return name as RegisterColumn;
  return Object.hasOwn(otherNames, name) ? otherNames[name] : null;
}

function unitRefusal(
  column: RegisterColumn,
  name: string,
  hasUnit: boolean,
): { code: string; message: string } | null {
  const kind: Kind = kinds[column];
  if (kind === 'size' && !hasUnit) {
    return {
      code: 'noUnit',
      message: `a size needs its unit in the heading, e.g. ${column}_in or ${column}_mm; the column is not read`,
    };
  }
  if (column === 'road_bearing' && name !== 'road_bearing_deg') {
    return {
      code: 'noUnit',
      message: 'a bearing needs its unit in the heading: road_bearing_deg; the column is not read',
    };
  }
  if (hasUnit && kind !== 'size' && kind !== 'grid' && kind !== 'elevation') {
    return { code: 'unit', message: `${column} is no length, so its heading cannot have a unit of length` };
  }
  return null;
}

function defaultMetres(kind: Kind, units: RegisterUnits): number {
  if (kind === 'grid') return units.metresPerUnit;
  return kind === 'elevation' ? units.elevationMetresPerUnit : 1;
}
