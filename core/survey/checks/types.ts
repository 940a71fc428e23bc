import type { Problem } from '../../problem.ts';

/** A shot as the checks see it, in the file's own units. */
export interface CheckShot {
  row: number;
  point: string;
  east: number;
  north: number;
  /** NaN where it is blank. */
  elevation: number;
  code: string;
  fix?: string;
  epoch?: string;
}

/** Metres in one unit of the shots' positions and elevations, for limits that are lengths. */
export interface CheckUnits {
  metresPerUnit: number;
  elevationMetresPerUnit: number;
  /** false: the units are not settled yet, so checks whose limits are lengths wait. Absent = true. */
  settled?: boolean;
}

/** What a check found: which points, with which values, against which rule. */
export interface Finding {
  code: string;
  /** Points by name, or `row n` where they have none. */
  points: string[];
  rows: number[];
  values: number[];
  /** One sentence for people, with the points and values. */
  message: string;
  /** The rule in words, with its limits. */
  rule: string;
  /** The shots are not to be used as they are. */
  setAside: boolean;
}

export const nameOf = ({ point, row }: Pick<CheckShot, 'point' | 'row'>): string =>
  point === '' ? `row ${row}` : point;

/** `1001, 1002, 1003 and 12 more`. */
export function listNames(names: readonly string[], most = 6): string {
  if (names.length <= most) return names.join(', ');
  return `${names.slice(0, most).join(', ')} and ${names.length - most} more`;
}

/** A number without the noise of floating point, for messages. */
export const plain = (value: number, digits = 3): string => String(Number(value.toFixed(digits)));

export function toProblem(finding: Finding): Problem {
  return {
    code: finding.code,
    row: finding.rows[0] ?? null,
    column: 'elevation',
    value:
      finding.values.length > 0
        ? finding.values
            .slice(0, 6)
            .map((v) => plain(v))
            .join(', ')
        : null,
    message: `${finding.message}; ${finding.rule}`,
  };
}
