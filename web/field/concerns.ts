import type { AnyKept, RecordKind } from '#core/field/facts.ts';
import type { RecordsCame } from '#shared/field-record.ts';
import type { ProjectRevision } from '#shared/job.ts';
import type { StoredNight } from './database.ts';

/** Kinds after which the office may have something new on a cover's card: a new stack, or none any more. */
const changesCard: ReadonlySet<RecordKind> = new Set(['rimChecked', 'accepted', 'withdrawn', 'settled']);

/** What a phone asks for after a notice; null: nothing, it does not concern its night. */
export type Ask = { isNight: boolean } | null;

/** Whether a notice of the project concerns the night on the phone. */
export function askFor(notice: RecordsCame | ProjectRevision, night: StoredNight | null): Ask {
  if (!('structureIds' in notice)) return notice.byRecords ? null : { isNight: true };
  if (night === null) return { isNight: false };
  const { bundle } = night;
  if (notice.lastSeq <= bundle.lastSeq) return null;
  const ids = new Set(bundle.cards.map(({ structure }) => structure.id));
  const isHere = notice.structureIds.length === 0 || notice.structureIds.some((id) => ids.has(id));
  return isHere ? { isNight: false } : null;
}

/** Whether records that came may have changed a card of the night. */
export function mayChangeCard(came: readonly AnyKept[], { bundle }: StoredNight): boolean {
  const ids = new Set(bundle.cards.map(({ structure }) => structure.id));
  return came.some(({ kind, structureId }) => changesCard.has(kind) && ids.has(structureId));
}
