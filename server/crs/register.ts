import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { CrsCandidate } from '#core/crs/matchWkt.ts';
import { readProjString } from '#core/crs/projString.ts';
import { type CrsDescription, readWkt } from '#core/crs/wkt.ts';

/** One system of the EPSG register, as far as finding it needs. */
export interface RegisterEntry {
  code: number;
  name: string;
  /** Where it is meant to be used, in words. */
  area: string;
  unitName: string;
  projected: boolean;
}

export interface CrsRegister {
  entries: readonly RegisterEntry[];
  candidates: readonly CrsCandidate[];
}

interface StoredRecord {
  code: string;
  kind: string;
  name: string;
  wkt: string | null;
  proj4: string | null;
  unit: string | null;
  area: string | null;
}

/** Codes above this are not EPSG's own but those of a vendor that the package lists beside them. */
const lastEpsgCode = 32767;
const require = createRequire(import.meta.url);
let held: CrsRegister | null = null;

/** The register in memory, read on first use (8 MB of JSON) and kept in short form. */
export function crsRegister(): CrsRegister {
  held ??= readRegister();
  return held;
}

function readRegister(): CrsRegister {
  const records = JSON.parse(readFileSync(require.resolve('epsg-index/all.json'), 'utf8')) as Record<
    string,
    StoredRecord
  >;
  const entries: RegisterEntry[] = [];
  const candidates: CrsCandidate[] = [];
  for (const record of Object.values(records)) {
    const code = Number(record.code);
    const projected = record.kind === 'CRS-PROJCRS';
    if (code > lastEpsgCode || !(projected || record.kind === 'CRS-GEOGCRS')) continue;
    const description = describe(record);
    if (description !== null) candidates.push({ code, description });
    entries.push({
      code,
      projected,
      name: record.name,
      area: record.area ?? '',
      unitName: record.unit ?? description?.unitName ?? '',
    });
  }
  return { entries, candidates };
}

function describe({ wkt, proj4, name }: StoredRecord): CrsDescription | null {
  if (wkt !== null) return readWkt(wkt);
  return proj4 === null ? null : readProjString(proj4, name);
}
