import type { Conflict } from '#core/field/conflicts.ts';
import type { OpenPlate } from '#core/field/plates.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { StatusCode } from '#shared/status.ts';
import type { CoverRecord } from './hole/types.ts';

/** A cover of the night with what was recorded at it, here or elsewhere. */
export interface CoverAtHole {
  card: CoverCard;
  /** The card as it was when work was done by it, where another plan came in since. */
  builtTo: CoverCard | null;
  /** Those that the server has in the order of receipt, then own ones that wait. */
  records: CoverRecord[];
  status: StatusCode | null;
  /** Over the opening until they are reopened. */
  plates: OpenPlate[];
  conflicts: Conflict[];
  /** From 1, in driving order. */
  position: number;
}
