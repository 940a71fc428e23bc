import type { Tie } from '#core/field/facts.ts';
import type { SealCount } from '#core/seal/sealPlan.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { PlacedRing } from '#shared/plan.ts';
import type { PaperUnits } from '../units.ts';

/** What a sheet shows of a cover. */
export interface SheetCover
  extends Pick<
    CoverCard,
    | 'structure'
    | 'stationM'
    | 'offsetM'
    | 'roadBearingDeg'
    | 'plan'
    | 'crew'
    | 'night'
    | 'limits'
    | 'ringCatalogue'
  > {
  /** When the plan in force for this cover was made; null without a plan. */
  plannedAt: string | null;
  /** Why the plan is not the last word; null while it is. */
  stale: string | null;
  /** Place in the driving order of its night; null for a cover of no night. */
  stop: { number: number; of: number } | null;
  /** The stack that was chosen at the hole in place of the plan's. */
  chosen: ChosenStack | null;
  ties: Tie[];
  photo: SheetPhoto | null;
  /** Plate that covers the opening now. */
  plate: string | null;
  seal: SealWords;
  vacuum: VacuumAsked | null;
  /** Address of the card, for the QR code. */
  address: string;
}

export interface ChosenStack {
  stack: PlacedRing[];
  by: string;
  at: string;
  reason: string;
  jointM: { base: number; between: number; top: number };
}

export interface SheetPhoto {
  /** null where there is none to print; `why` says it. */
  bytes: Buffer | null;
  why: string | null;
  caption: string;
}

/** `joints[i]` lies on ring i, `joints[0]` on the seat. */
export interface SealWords {
  joints: string[];
  /** Beads and ropes of all joints; null where the rings are not known. */
  counted: SealCount | null;
  /** Cartridges and rolls for them, or what keeps them from being counted. */
  kit: string;
  /** Why the printed stack must not be sealed as it is; null where it may be. */
  warning: string | null;
}

export interface VacuumAsked {
  /** null where the table has no time for this structure; `why` says what is missing. */
  requiredSeconds: number | null;
  why: string;
  /** null where no table is chosen. */
  startInHg: number | null;
  endInHg: number | null;
  table: string;
}

/** What all sheets of a document have in common. */
export interface SheetSetting {
  agency: string;
  project: string;
  units: PaperUnits;
  /** A ring heavier than this is lifted by two, kilograms. */
  twoPersonsKg: number;
  printedAt: Date;
}
