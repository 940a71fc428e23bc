import { type CrsMatch, matchWkt } from '#core/crs/matchWkt.ts';
import { epsgOfReference } from '#core/crs/statement.ts';
import { readWkt } from '#core/crs/wkt.ts';
import { crsRegister } from './register.ts';

/** Finds the EPSG code of what a file says of its system: a reference (`EPSG:n`, a URN) or well-known text. */
export function matchCrs(text: string): CrsMatch {
  const none = (reason: string): CrsMatch => ({ epsg: null, sure: false, candidates: [], reason });
  const { entries, candidates } = crsRegister();
  const referred = epsgOfReference(text);
  if (referred !== null) {
    const known = entries.some(({ code }) => code === referred);
    return known
      ? { epsg: referred, sure: true, candidates: [referred], reason: '' }
      : none(`the EPSG register has no horizontal system ${referred}`);
  }
  const description = readWkt(text);
  return description === null
    ? none('not a definition of a coordinate reference system')
    : matchWkt(description, candidates);
}
