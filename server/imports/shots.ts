import { randomUUID } from 'node:crypto';
import { insideArea, makeProjection } from '#core/crs/crs.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import { metresPer } from '#core/units/length.ts';
import type { ImportReport } from '#shared/import.ts';
import { badField } from '../http-problem.ts';
import type { Database } from '../store/database.ts';
import { importShots } from '../store/imports/shots.ts';
import { notifyProject } from '../store/notices.ts';
import { crsOf, type ProjectHead } from '../store/projects.ts';
import type { UploadedFile } from './file.ts';
import { countRows, namedRefusals, namedWarnings } from './report.ts';

interface ShotImportOptions {
  mode: 'preview' | 'store';
  surface?: string;
  stage?: 'existing' | 'milled' | 'lift' | 'finished';
  method?: string;
}

/** Reads a point file in the project's units and lays its shots on a surface of the project. */
export async function importShotFile(
  database: Database,
  project: ProjectHead,
  file: UploadedFile,
  options: ShotImportOptions,
): Promise<ImportReport> {
  const crs = crsOf(project.crs);
  const read = readPnezd(file.text, {
    metresPerUnit: crs.metresPerUnit,
    elevationMetresPerUnit: metresPer[project.elevationUnit],
  });
  const name = options.surface ?? file.name.replace(/\.[^.]*$/, '');
  const surfaceId = slugOf(name);
  if (!surfaceId) throw badField('/surface', 'needs at least one letter or digit', name);
  const batchId = randomUUID();
  const refusedRows = countRows(read.problems);
  const counts = await importShots(
    database,
    {
      agencyId: project.agencyId,
      projectId: project.id,
      surface: { id: surfaceId, name, stage: options.stage ?? 'finished', method: options.method ?? null },
      importId: batchId,
      shots: read.shots,
      batch: { fileName: file.name, sha256: file.sha256, refusedRows },
    },
    options.mode,
  );
  const stored = options.mode === 'store' && counts.new + counts.changed > 0;
  if (stored) await notifyProject(database.kysely, project.agencyId, project.id);
  return {
    batchId: stored ? batchId : null,
    kind: 'shots',
    fileName: file.name,
    mode: options.mode,
    surfaceId,
    read: read.shots.length + refusedRows,
    ...counts,
    refusedRows,
    refused: namedRefusals(read.problems),
    unknownCodes: read.codes.filter((use) => !use.known).map(({ code, count }) => ({ code, count })),
    warnings: [...file.warnings, ...namedWarnings(read.warnings), ...placeWarnings(crs, read.shots)],
  };
}

/** A whole survey off the map is the sign of swapped columns or of another coordinate system. */
function placeWarnings(
  crs: ReturnType<typeof crsOf>,
  shots: readonly { east: number; north: number }[],
): string[] {
  const { toLonLat } = makeProjection(crs);
  const outside = shots.filter(({ east, north }) => !insideArea(crs, ...toLonLat(east, north))).length;
  if (outside === 0) return [];
  return [
    `${outside} of ${shots.length} places lie outside the area of use of ${crs.name}: check that northing and easting are not swapped.`,
  ];
}

/** Name as a key: `Alder 3, 2026` -> `alder-3-2026`. */
export function slugOf(name: string): string {
  return name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 63)
    .replace(/-+$/, '');
}
