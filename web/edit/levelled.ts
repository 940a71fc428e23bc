import type { RimRecordCreate } from '#shared/rim-record.ts';
import type { Units } from '../units.ts';
import { fieldOf, readField } from './fields.ts';

/** A levelled rim as it stands in its fields. */
export interface TypedRim {
  date: string;
  rim: string;
  pavement: string;
  who: string;
  note: string;
}

/** What the server is sent, or what is wrong, field by field. */
export function readLevelled(
  { date, rim, pavement, who, note }: TypedRim,
  units: Units,
): { body: RimRecordCreate } | { faults: Partial<Record<keyof TypedRim, string>> } {
  const field = fieldOf('rimElevationM')!;
  const [rimRead, pavementRead] = [readField(field, rim, units), readField(field, pavement, units)];
  const faults: Partial<Record<keyof TypedRim, string>> = {};
  if (!/^\d{4}-\d{2}-\d{2}$/.test(date)) faults.date = 'The day of the levelling is missing.';
  if ('fault' in rimRead) faults.rim = `The rim ${rimRead.fault}.`;
  else if (rimRead.value === null) faults.rim = 'The rim has no elevation.';
  if ('fault' in pavementRead) faults.pavement = `The pavement ${pavementRead.fault}.`;
  if (Object.keys(faults).length > 0) return { faults };
  return {
    body: {
      date,
      rimElevationM: (rimRead as { value: number }).value,
      pavementElevationM: (pavementRead as { value: number | null }).value,
      ...(who.trim() ? { who: who.trim() } : {}),
      ...(note.trim() ? { note: note.trim() } : {}),
    },
  };
}
