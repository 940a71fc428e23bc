import type { MadeRecord, RecordKind } from '#core/field/facts.ts';
import { inOrder } from '#core/field/order.ts';
import { standingOf } from '#core/field/standing.ts';
import { walk } from '#core/field/walk.ts';
import type { CoverRecord } from './types.ts';

/** Records that hold: neither taken back, nor set aside where two contradicted each other. */
export const standing = (records: readonly CoverRecord[]): CoverRecord[] =>
  standingOf(inOrder(records)).standing;

/** Standing records of one kind, the latest last. */
export function allOf<Kind extends RecordKind>(
  records: readonly CoverRecord[],
  kind: Kind,
): MadeRecord<Kind>[] {
  return standing(records).filter((record) => record.kind === kind) as unknown as MadeRecord<Kind>[];
}

export function lastOf<Kind extends RecordKind>(
  records: readonly CoverRecord[],
  kind: Kind,
): MadeRecord<Kind> | null {
  return allOf(records, kind).at(-1) ?? null;
}

/** The plate that lies over the opening now and has to be reopened, the latest of several; null for none. */
export function openPlate(records: readonly CoverRecord[]): MadeRecord<'plated'> | null {
  const plate = walk(standing(records), () => true).plates.at(-1);
  return plate ? (plate.record as MadeRecord<'plated'>) : null;
}

const clock = new Intl.DateTimeFormat('en-GB', { weekday: 'short', hour: '2-digit', minute: '2-digit' });

/** `Tue 14:02`, by the clock of the place. */
export const timeText = (at: string): string => clock.format(new Date(at)).replace(',', '');
