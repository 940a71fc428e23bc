import type { Condition } from '../plan/types.ts';
import type { Gradient } from '../surface/types.ts';

/** One structure as a register file gives it; null where the file says nothing. Metres, radians. */
export interface RegisterRow {
  /** Line of the file, from 1. */
  row: number;
  /** Text as written: `0012` is not `12`. */
  id: string;
  kind: string;
  owner: string | null;
  street: string | null;
  /** Place in the grid; null when it was blank, or when it came as longitude and latitude and no projection was given. */
  east: number | null;
  north: number | null;
  /** Degrees, when the file gave these. */
  lonLat: readonly [lon: number, lat: number] | null;
  rimElevation: number | null;
  seatElevation: number | null;
  frameHeight: number | null;
  rimDiameter: number | null;
  roadBearing: number | null;
  setDown: number;
  adjustment: 'rings' | 'telescoping';
  seatGradient: Gradient;
  structureDepth: number | null;
  structureDiameter: number | null;
  condition: Condition;
}
