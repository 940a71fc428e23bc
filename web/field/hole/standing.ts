import type { MadeRecord, RecordKind } from '#core/field/facts.ts';
import type { CoverRecord } from './types.ts';

/**
 * Records that hold: neither taken back, nor set aside where two contradicted each other. What takes back or sets
 * aside can itself be taken back later.
 */
export function standing(records: readonly CoverRecord[]): CoverRecord[] {
  const gone = new Set<string>();
  for (const record of records.toReversed()) {
    if (gone.has(record.id)) continue;
    if (record.kind === 'withdrawn') gone.add(record.facts.record);
    if (record.kind === 'settled') for (const id of record.facts.over) gone.add(id);
  }
  return records.filter(({ id, kind }) => kind !== 'withdrawn' && kind !== 'settled' && !gone.has(id));
}

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

/** The plate that lies over the opening now and has to be reopened; null for none. */
export function openPlate(records: readonly CoverRecord[]): MadeRecord<'plated'> | null {
  let plate: MadeRecord<'plated'> | null = null;
  for (const record of standing(records)) {
    if (record.kind === 'plated') plate = record as MadeRecord<'plated'>;
    if (record.kind === 'reopened') plate = null;
  }
  return plate;
}

const clock = new Intl.DateTimeFormat('en-GB', { weekday: 'short', hour: '2-digit', minute: '2-digit' });

/** `Tue 14:02`, by the clock of the place. */
export const timeText = (at: string): string => clock.format(new Date(at)).replace(',', '');
