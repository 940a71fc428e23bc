import type { FieldStatus } from '#shared/status.ts';
import { openPlate, standing } from './standing.ts';
import { judgeRim } from './steps/verdict.ts';
import type { CoverRecord } from './types.ts';

/**
 * How the cover stands by what was recorded, in the order in which it was: the phone knows it before any server does.
 * null where nothing recorded says so.
 */
export function statusBy(
  records: readonly CoverRecord[],
  limits: { proud: number; low: number },
): FieldStatus | null {
  let status: FieldStatus | null = null;
  for (const record of standing(records)) status = after(status, record, limits);
  // A plate that was not reopened is never covered up by what was recorded after it.
  return openPlate(records) === null ? status : 'plated';
}

function after(
  before: FieldStatus | null,
  record: CoverRecord,
  limits: { proud: number; low: number },
): FieldStatus | null {
  switch (record.kind) {
    case 'plated':
      return 'plated';
    case 'reopened':
    case 'stackChosen':
      return before === 'plated' && record.kind === 'stackChosen' ? 'plated' : 'planned';
    case 'dryStacked':
    case 'sealed':
    case 'ringsUsed':
      return before === 'set' && record.kind !== 'dryStacked' ? 'set' : 'stacked';
    case 'frameSet':
    case 'backfilled':
    case 'collarPlaced':
      return 'set';
    case 'rimChecked':
      return judgeRim(record.facts, limits).state === 'off' ? 'offGrade' : 'set';
    case 'accepted':
      return record.facts.accepted ? 'accepted' : 'offGrade';
    default:
      return before;
  }
}
