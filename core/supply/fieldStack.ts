import { conflictsOf } from '../field/conflicts.ts';
import type { RecordKind } from '../field/facts.ts';
import { type AnyRecord, inOrder } from '../field/order.ts';
import { standingOf } from '../field/standing.ts';

/** What the records of a cover say of its rings, ids bottom-up. */
export interface FieldStack {
  /** Recorded as used, else chosen at the hole, whichever came last; null where neither was. */
  rings: readonly string[] | null;
  /** Two phones chose or used other rings, and nobody settled which hold. */
  contradicts: boolean;
}

/** Kinds of records that `fieldStackOf` asks for: all others may be left out. */
export const stackKinds = [
  'stackChosen',
  'ringsUsed',
  'withdrawn',
  'settled',
] as const satisfies readonly RecordKind[];

/** `records`: of one cover. A stack that is chosen after rings were used is another one, which is still to be built. */
export function fieldStackOf(records: readonly AnyRecord[]): FieldStack {
  const { standing } = standingOf(inOrder(records));
  const said = standing.filter(({ kind }) => kind === 'stackChosen' || kind === 'ringsUsed');
  const last = said.at(-1) as Extract<AnyRecord, { kind: 'stackChosen' | 'ringsUsed' }> | undefined;
  return {
    rings: last ? last.facts.stack.map(({ ring }) => ring) : null,
    contradicts: conflictsOf(said).length > 0,
  };
}
