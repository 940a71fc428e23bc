import { findNoElevations } from './checks/noElevation.ts';
import { findOneLine } from './checks/oneLine.ts';
import { findRodHeights, mostSearched } from './checks/rodHeight.ts';
import { differingPlaces } from './checks/samePlace.ts';
import type { CheckShot, CheckUnits, Finding } from './checks/types.ts';
import { findFloatShots, findMixedEpochs, findUnknownCodes } from './checks/words.ts';

/**
 * Everything that the shots of one survey show of themselves, each finding with its points, values and rule. Shots that
 * stand for no elevation are left out of the later checks.
 */
export function checkShots(shots: readonly CheckShot[], units: CheckUnits): Finding[] {
  const none = findNoElevations(shots, units);
  const setAside = new Set(none.flatMap(({ rows }) => rows));
  const used = setAside.size === 0 ? shots : shots.filter(({ row }) => !setAside.has(row));
  const findings = [
    ...none,
    ...findOneLine(used),
    ...differingPlaces(used, units),
    ...(units.settled === false ? [] : findRodHeights(used, units)),
    ...findFloatShots(used),
    ...findMixedEpochs(used),
    ...findUnknownCodes(used),
  ];
  if (units.settled !== false && used.length > mostSearched) {
    findings.push({
      code: 'notSearched',
      points: [],
      rows: [],
      values: [],
      message: `${used.length} shots are too many to look for wrong rod heights in`,
      rule: `up to ${mostSearched} are searched`,
      setAside: false,
    });
  }
  return findings;
}
