import type { Cover } from '../plan/types.ts';
import type { Problem } from '../problem.ts';
import type { RegisterRow } from './types.ts';

/** What a cover must have to be planned, and how a register file names it. */
const needed = {
  east: 'easting',
  north: 'northing',
  frameHeight: 'frame_height',
  rimDiameter: 'rim_diameter',
} as const satisfies Partial<Record<keyof RegisterRow, string>>;

/**
 * A register row as the computation sees it; a row that lacks what planning needs is one problem naming all of it. A seat
 * may be unknown: the plan then asks for it.
 */
export function toCover(row: RegisterRow): Cover | Problem {
  const { east, north, seatElevation, frameHeight, rimDiameter } = row;
  if (east === null || north === null || frameHeight === null || rimDiameter === null) {
    const missing = Object.entries(needed).filter(([field]) => row[field as keyof typeof needed] === null);
    const columns = missing.map(([, column]) => column);
    return {
      code: 'missing',
      row: row.row,
      column: columns.join(', '),
      value: null,
      message: `${row.id} cannot be planned without it${east === null ? ' (blank or 0,0)' : ''}`,
    };
  }
  return {
    id: row.id,
    kind: row.kind,
    east,
    north,
    seatElevation,
    seatGradient: row.seatGradient,
    rimElevation: row.rimElevation,
    frameHeight,
    rimRadius: rimDiameter / 2,
    roadBearing: row.roadBearing,
    setDown: row.setDown,
    adjustment: row.adjustment,
    condition: row.condition,
  };
}
