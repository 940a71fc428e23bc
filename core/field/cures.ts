import { hoursAfter } from '../units/moment.ts';
import type { AnyRecord } from './order.ts';

/** What has to cure before it may be loaded. */
export interface Cure {
  what: 'collar' | 'mortar';
  /** ISO 8601, UTC; null where the moment it was placed at is none of the calendar. */
  releaseAt: string | null;
  record: AnyRecord;
}

/** A collar cures from when it was poured, a mortar bed from when it was recorded, by the clock of the device. */
export function cureOf(record: AnyRecord): Cure | null {
  if (record.kind === 'collarPlaced')
    return { what: 'collar', releaseAt: hoursAfter(record.facts.pouredAt, record.facts.cureHours), record };
  if (record.kind === 'mortarBed')
    return { what: 'mortar', releaseAt: hoursAfter(record.deviceTime, record.facts.cureHours), record };
  return null;
}
