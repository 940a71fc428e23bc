import { randomUUID } from 'node:crypto';
import { insideArea, makeProjection } from '#core/crs/crs.ts';
import type { Problem } from '#core/problem.ts';
import { toCover } from '#core/register/cover.ts';
import { readRegisterCsv } from '#core/register/csv.ts';
import type { RegisterRow } from '#core/register/types.ts';
import { metresPer } from '#core/units/length.ts';
import type { ImportReport } from '#shared/import.ts';
import { makeStreetPlacer } from '../place-on-street.ts';
import type { Database } from '../store/database.ts';
import { importStructures } from '../store/imports/structures.ts';
import { notifyProject } from '../store/notices.ts';
import { crsOf, type ProjectHead } from '../store/projects.ts';
import { listStreets } from '../store/streets.ts';
import type { NewStructure } from '../store/structures.ts';
import type { UploadedFile } from './file.ts';
import { countRows, namedRefusals, namedWarnings } from './report.ts';

/** Reads a register file in the project's units and makes its structures covers of the project. */
export async function importStructureFile(
  database: Database,
  project: ProjectHead,
  file: UploadedFile,
  mode: 'preview' | 'store',
): Promise<ImportReport> {
  const crs = crsOf(project.crs);
  const projection = makeProjection(crs);
  const read = readRegisterCsv(file.text, {
    metresPerUnit: crs.metresPerUnit,
    elevationMetresPerUnit: metresPer[project.elevationUnit],
    projection,
  });
  const problems: Problem[] = [...read.problems];
  const structures: NewStructure[] = [];
  let outside = 0;
  for (const row of read.rows) {
    const structure = toStructure(row, project.crs, projection.toLonLat);
    if ('message' in structure) problems.push(structure);
    else {
      structures.push(structure);
      if (!insideArea(crs, structure.lon, structure.lat)) outside += 1;
    }
  }
  const place = makeStreetPlacer(await listStreets(database.kysely, project.agencyId), projection);
  const refusedRows = countRows(problems);
  const batch = { id: randomUUID(), fileName: file.name, sha256: file.sha256, refusedRows };
  const { agencyId, id: projectId } = project;
  const given = { agencyId, projectId, structures, place, source: batch, batch };
  const { counts, stored } = await importStructures(database, given, mode);
  if (stored) await notifyProject(database.kysely, project.agencyId, project.id);
  return {
    batchId: stored ? batch.id : null,
    kind: 'structures',
    fileName: file.name,
    mode,
    surfaceId: null,
    read: structures.length + refusedRows,
    ...counts,
    refusedRows,
    refused: namedRefusals(problems),
    unknownCodes: [],
    warnings: [
      ...file.warnings,
      ...namedWarnings(read.warnings),
      ...sayOutside(outside, structures.length, crs.name),
    ],
  };
}

function sayOutside(outside: number, all: number, name: string): string[] {
  if (outside === 0) return [];
  return [
    `${outside} of ${all} places lie outside the area of use of ${name}: check that northing and easting are not swapped.`,
  ];
}

const longestId = 64;
const longestWord = 100;

/** A row as the register keeps it, or what is wrong with it. */
export function toStructure(
  row: RegisterRow,
  crs: string,
  toLonLat: (east: number, north: number) => [number, number],
): NewStructure | Problem {
  const cover = toCover(row);
  if ('message' in cover) return cover;
  const refuse = (column: string, value: string | null, message: string): Problem => ({
    code: 'notStorable',
    row: row.row,
    column,
    value,
    message,
  });
  if (row.id.length > longestId || row.id.includes('/')) {
    return refuse('id', row.id, `an id has at most ${longestId} characters and no slash`);
  }
  for (const column of ['kind', 'owner', 'street'] as const) {
    const value = row[column];
    if (value !== null && value.length > longestWord) {
      return refuse(column, value, `at most ${longestWord} characters`);
    }
  }
  const [lon, lat] = toLonLat(cover.east, cover.north);
  if (!Number.isFinite(lon) || !Number.isFinite(lat)) {
    return refuse('easting', String(row.east), `no place of ${crs} has these coordinates`);
  }
  return {
    id: row.id,
    kind: row.kind || 'unknown',
    owner: row.owner,
    street: row.street,
    lon,
    lat,
    crs,
    eastingM: cover.east,
    northingM: cover.north,
    seatElevationM: cover.seatElevation,
    seatGradientEast: cover.seatGradient[0],
    seatGradientNorth: cover.seatGradient[1],
    rimElevationM: cover.rimElevation,
    frameHeightM: cover.frameHeight,
    rimDiameterM: cover.rimRadius * 2,
    roadBearingDeg: cover.roadBearing === null ? null : degreesOf(cover.roadBearing),
    setDownM: cover.setDown,
    adjustment: cover.adjustment,
    condition: cover.condition,
    structureDepthM: row.structureDepth,
    structureDiameterM: row.structureDiameter,
  };
}

/** Back to what was written in the file: turning into radians and back moves the sixteenth digit. */
function degreesOf(radians: number): number {
  return Number(((radians * 180) / Math.PI).toFixed(9));
}
