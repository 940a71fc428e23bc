import type { KeptRecord } from '#core/field/facts.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { SheetPhoto } from '../sheet/types.ts';
import type { PaperUnits } from '../units.ts';

/** Who said something, when by his device's clock, and when it was received. */
export interface SaidBy {
  by: string;
  deviceTime: string;
  receivedAt: string;
}

export interface PackRow {
  name: string;
  text: string;
  /** Nothing was measured: it is set apart, never like something that passed. */
  isMissing: boolean;
  said: SaidBy | null;
}

export type VerdictState = 'accepted' | 'notAccepted' | 'notChecked';

export interface PackCover
  extends Pick<CoverCard, 'structure' | 'stationM' | 'offsetM' | 'roadBearingDeg' | 'plan'> {
  verdict: { state: VerdictState; reasons: string[]; said: SaidBy | null };
  /** The rim as it was checked last; null: it never was. */
  rim: KeptRecord<'rimChecked'> | null;
  allowed: { proudM: number; lowM: number };
  rows: PackRow[];
  photos: SheetPhoto[];
}

/** One limit with whose it is: `6 mm proud` of `the agency`. */
export interface PackLimit {
  name: string;
  value: string;
  whose: string;
}

export interface PackSetting {
  agency: string;
  project: string;
  street: string;
  limits: PackLimit[];
  units: PaperUnits;
  printedAt: Date;
}

/** What the title page needs of every cover. */
export interface PackLine {
  id: string;
  state: VerdictState;
  reasons: string[];
}
