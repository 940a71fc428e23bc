import type { SheetCover, SheetSetting } from '../sheet/types.ts';

export interface ListSetting extends SheetSetting {
  /** null: covers of no night. */
  night: string | null;
  /** null: covers of no crew; undefined: of every crew. */
  crew: string | null | undefined;
}

/** Rings by size, most first, and sealant in words; covers whose rings the catalogue lacks are named. */
export interface Kit {
  rings: { words: string; count: number }[];
  sealant: string[];
}

export type ListCover = SheetCover;
