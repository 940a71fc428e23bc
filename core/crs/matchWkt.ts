import { datumKey } from './datumName.ts';
import { plain } from './methods.ts';
import type { CrsDescription, ProjectionParameters } from './wkt.ts';

/** A system of the register that a definition may stand for. */
export interface CrsCandidate {
  code: number;
  description: CrsDescription;
}

export interface CrsMatch {
  /** Best code; null where nothing fits. */
  epsg: number | null;
  /** Whether projection, unit and datum all agree, so that nobody need be asked. */
  sure: boolean;
  /** Codes that fit, best first, at most ten. */
  candidates: number[];
  /** Why it is not sure; '' where it is. */
  reason: string;
}

/** Angles to some centimetres on the ground; lengths to the centimetre; the two feet differ by 2 in a million. */
const tolerance = {
  angleDegrees: 5e-7,
  scale: 2e-9,
  lengthM: 0.01,
  unit: 2e-7,
  semiMajorM: 0.5,
  flattening: 2e-3,
};
const mostCandidates = 10;

/**
 * Matches a definition with the register by what it computes (projection, parameters, unit, ellipsoid), then by datum,
 * then by name: names alone differ between flavours and say nothing certain of the unit.
 */
export function matchWkt(wanted: CrsDescription, register: Iterable<CrsCandidate>): CrsMatch {
  const fits: { code: number; score: number; sameDatum: boolean }[] = [];
  const datum = datumKey(wanted.datum);
  const geographicDatum = datumKey(wanted.geographicName);
  for (const { code, description } of register) {
    if (!computesAlike(wanted, description)) continue;
    const key = datumKey(description.datum);
    const sameDatum = key === datum || datumKey(description.geographicName) === geographicDatum;
    fits.push({ code, sameDatum, score: score(wanted, code, description, sameDatum) });
  }
  fits.sort((a, b) => b.score - a.score || a.code - b.code);
  const candidates = fits.slice(0, mostCandidates).map(({ code }) => code);
  if (fits.length === 0)
    return {
      epsg: null,
      sure: false,
      candidates,
      reason: 'no system of the register has this projection and unit',
    };
  const sure = fits[0].sameDatum;
  const reason =
    wanted.epsg !== null && !fits.some(({ code, sameDatum }) => sameDatum && code === wanted.epsg)
      ? `the definition carries the code ${wanted.epsg} but does not describe it`
      : sure
        ? ''
        : `projection and unit agree, but the datum "${wanted.datum}" is not known`;
  return { epsg: fits[0].code, sure: reason === '', candidates, reason };
}

/** Datum before all, then the definition's own code, then the name; systems that count north first come last. */
function score(wanted: CrsDescription, code: number, found: CrsDescription, sameDatum: boolean): number {
  const sameName = plain(wanted.name) === plain(found.name);
  const otherAxes = /\((N-E|E-N|zE-N|N-zE)\)/.test(found.name);
  return (sameDatum ? 8 : 0) + (code === wanted.epsg ? 4 : 0) + (sameName ? 2 : 0) - (otherAxes ? 1 : 0);
}

function computesAlike(a: CrsDescription, b: CrsDescription): boolean {
  return (
    a.kind === b.kind &&
    a.method === b.method &&
    near(a.semiMajorM, b.semiMajorM, tolerance.semiMajorM) &&
    near(a.inverseFlattening, b.inverseFlattening, tolerance.flattening) &&
    near(a.primeMeridian, b.primeMeridian, 1e-4) &&
    sameUnit(a, b) &&
    (a.parameters === null || b.parameters === null || sameParameters(a.parameters, b.parameters))
  );
}

function sameUnit(a: CrsDescription, b: CrsDescription): boolean {
  if (a.metresPerUnit === null || b.metresPerUnit === null) return a.metresPerUnit === b.metresPerUnit;
  return near(a.metresPerUnit / b.metresPerUnit, 1, tolerance.unit);
}

function sameParameters(a: ProjectionParameters, b: ProjectionParameters): boolean {
  return (Object.keys(a) as (keyof ProjectionParameters)[]).every((key) => {
    if (key === 'scale') return near(a.scale, b.scale, tolerance.scale);
    if (key === 'falseEasting' || key === 'falseNorthing') return near(a[key], b[key], tolerance.lengthM);
    const turn = Math.abs(a[key] - b[key]) % 360;
    return Math.min(turn, 360 - turn) <= tolerance.angleDegrees;
  });
}

const near = (a: number, b: number, most: number) => Math.abs(a - b) <= most;
