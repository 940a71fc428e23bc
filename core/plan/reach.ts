import { lineReach } from '../surface/breakLines.ts';
import type { Policy } from './policy.ts';

/**
 * No shot farther from a cover than this, metres, has a say in its plan once the survey's sigma is settled. Planes take
 * shots up to the policy's limits; the lines about the cover are joined and bent by shots farther away.
 */
export const reachOf = ({ shotLimit, reachLimit }: Policy): number =>
  Math.max(shotLimit, reachLimit, lineReach);
