import { lineReach } from '../surface/breakLines.ts';
import type { ShotRole } from '../surface/types.ts';
import type { Policy } from './policy.ts';

/**
 * No shot farther from a cover than this, metres, has a say in its plan once the survey's sigma is settled. Planes take
 * shots up to the policy's limits; the lines about the cover are joined and bent by shots farther away.
 */
export const reachOf = ({ shotLimit, reachLimit }: Policy): number =>
  Math.max(shotLimit, reachLimit, lineReach);

/** Shots on a rim lie no farther from its middle, metres: the widest that a register takes has a radius of 2.5 m. */
const widestRim = 3;

/** No shot that is on no coded line has a say farther from a cover than this, metres. */
export const nearReachOf = ({ shotLimit, reachLimit }: Policy): number =>
  Math.max(shotLimit, reachLimit, widestRim);

/** Roles of the shots that lines are joined from. */
export const lineRoles: readonly ShotRole[] = ['crown', 'gutter'];

/** Whether a shot may have a say as far as `reachOf` says, since a line is joined from it. */
export const isOnLine = (role: ShotRole): boolean => role === 'crown' || role === 'gutter';
