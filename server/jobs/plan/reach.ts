import type { Policy } from '#core/plan/policy.ts';
import { longestPiece } from '#core/surface/breakLines.ts';

/**
 * A plan of a cover asks for nothing farther away than this, metres: shots, and the lines that they are joined to. A piece
 * of a line bends with the pieces before and behind it, and whether those are there hangs on two more shots of the line.
 */
export const reachOf = ({ shotLimit, reachLimit }: Policy): number =>
  Math.max(shotLimit, reachLimit) + 5 * longestPiece;
