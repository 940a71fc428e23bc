import type { MadeRecord, Tie } from './facts.ts';
import { type AnyRecord, seqOf } from './order.ts';

/** A plate that lies over the opening and has to be reopened. */
export interface OpenPlate {
  plate: string;
  ties: Tie[];
  rimElevationM: number | null;
  /** By the clock of its device. */
  since: string;
  by: string;
  record: AnyRecord;
}

/** Does this word open that plate? A device opens what it knew of, and any plate that it names. */
export function opens(plate: OpenPlate, reopened: AnyRecord & MadeRecord<'reopened'>): boolean {
  const name = (text: string) => text.trim().toLowerCase();
  const isKnown =
    plate.record.device.toLowerCase() === reopened.device.toLowerCase() ||
    seqOf(plate.record) <= reopened.seen;
  return isKnown || name(plate.plate) === name(reopened.facts.plate);
}

export function openPlate(record: AnyRecord & MadeRecord<'plated'>): OpenPlate {
  const { plate, ties, rimElevationM } = record.facts;
  return { plate, ties, rimElevationM, since: record.deviceTime, by: record.by, record };
}
