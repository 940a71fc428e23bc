import type { CoverRecord } from './hole/types.ts';
import { fieldUnits } from './hole/units.ts';
import { night } from './night.ts';
import { sayFacts } from './say-facts.ts';

/** The facts of a record in the units of the night's project. */
export const factWords = (record: CoverRecord): string =>
  sayFacts(record, fieldUnits(night.value!.bundle.project));
