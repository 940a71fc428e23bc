import { longestPiece } from '../surface/breakLines.ts';
import type { Policy } from './policy.ts';

/**
 * No shot farther from a cover than this, metres, has a say in its plan once the survey's sigma is settled. Planes take
 * shots up to the policy's limits. Of a line the pieces about the cover count, whose ends lie up to two pieces away; a
 * piece bows with the next one beyond it (three), and whether that one is a line at all hangs on where the two shots after
 * it stand (five).
 */
export const reachOf = ({ shotLimit, reachLimit }: Policy): number =>
  Math.max(shotLimit, reachLimit, 5 * longestPiece);
