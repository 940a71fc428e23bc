import type { AnyKept, Facts, KeptRecord, RecordKind, Tie } from '#core/field/facts.ts';
import { inOrder } from '#core/field/order.ts';
import { isSeatRough } from '#core/field/seat.ts';
import { standingOf } from '#core/field/standing.ts';
import type { ChosenStack } from './sheet/types.ts';

/** What the records of a cover say for its sheet. */
export interface SheetFacts {
  ties: Tie[];
  /** Plate that covers the opening now. */
  plate: string | null;
  chosen: ChosenStack | null;
  photo: Facts['photo'] | null;
  /** Seen rough: two beads on it. */
  isSeatRough: boolean;
}

/** Records that still hold, in the order of `seq`: neither taken back nor settled against. */
export const holding = (records: readonly AnyKept[]): AnyKept[] =>
  standingOf(inOrder(records)).standing as AnyKept[];

export function latest<Kind extends RecordKind>(
  records: readonly AnyKept[],
  kind: Kind,
): KeptRecord<Kind> | null {
  return (records.findLast((record) => record.kind === kind) as KeptRecord<Kind> | undefined) ?? null;
}

/** `records`: of one cover, in the order of `seq`. */
export function sheetFacts(records: readonly AnyKept[]): SheetFacts {
  const held = holding(records);
  const found = latest(held, 'found');
  const plated = latest(held, 'plated');
  const reopened = latest(held, 'reopened');
  const chosen = latest(held, 'stackChosen');
  const ties = [plated?.facts.ties, found?.facts.ties].find((each) => each && each.length > 0);
  return {
    ties: ties ?? [],
    plate: plated && (reopened === null || reopened.seq < plated.seq) ? plated.facts.plate : null,
    chosen: chosen && {
      stack: chosen.facts.stack,
      by: chosen.by,
      at: chosen.deviceTime,
      reason: chosen.facts.reason,
      jointM: chosen.facts.jointM,
    },
    photo: latest(held, 'photo')?.facts ?? null,
    isSeatRough: isSeatRough(held),
  };
}
