import { type LengthUnit, metresPer } from './length.ts';

/**
 * Which unit to take a file's coordinates in, for a grid of the given unit. A file that states the other foot than
 * its grid has is read in the grid's: coordinates in a grid are in its unit, and programs often write `foot` for
 * either. `doubt` then says what was done.
 */
export function unitForGrid(
  stated: LengthUnit | null,
  gridMetresPerUnit: number,
): { metres: number; doubt: string | null } {
  if (stated === null)
    return { metres: gridMetresPerUnit, doubt: 'the file states no unit; read in that of the grid' };
  const metres = metresPer[stated];
  const ratio = metres / gridMetresPerUnit;
  if (ratio === 1 || Math.abs(ratio - 1) > 1e-5) return { metres, doubt: null };
  const shift = (2_000_000 * Math.abs(metres - gridMetresPerUnit)).toFixed(2);
  return {
    metres: gridMetresPerUnit,
    doubt: `the file says ${stated}, the grid has the other foot; read in the grid's (the other would shift it ${shift} m at 2 000 000)`,
  };
}
