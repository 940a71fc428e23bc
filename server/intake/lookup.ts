import type { CrsDefinition } from '#core/crs/crs.ts';
import type { CrsLookup } from '#core/intake/understanding.ts';
import { findCrs } from '../crs/epsg.ts';
import { matchCrs } from '../crs/match.ts';
import { crsRegister } from '../crs/register.ts';

/** More zones than this are not tried. */
const mostZones = 250;

/** The EPSG register as the understanding of files asks it. */
export const crsLookup: CrsLookup = {
  find: (epsg) => findProjected(epsg),
  isLonLat: (epsg) => epsg === 4326 || crsRegister().entries.some((e) => e.code === epsg && !e.projected),
  match: matchCrs,
  zones: zonesBeside,
};

function findProjected(epsg: number): CrsDefinition | null {
  const found = findCrs(`EPSG:${epsg}`);
  return 'message' in found ? null : found;
}

/** Zones whose names differ from this one's by a number or a side only: `… zone 2 …`, `… North …`. */
function zonesBeside({ code, name }: CrsDefinition): CrsDefinition[] {
  const family = familyOf(name);
  return crsRegister()
    .entries.filter((entry) => entry.projected && entry.code !== code && familyOf(entry.name) === family)
    .slice(0, mostZones)
    .flatMap((entry) => findProjected(entry.code) ?? []);
}

function familyOf(name: string): string {
  return name.replace(/\b\d+[NS]?\b/g, '#').replace(/\b(North|South|East|West|Central)\b/g, '#');
}
