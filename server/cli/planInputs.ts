import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { type CrsDefinition, insideArea, type Projection } from '#core/crs/crs.ts';
import type { Cover } from '#core/plan/types.ts';
import { type Problem, sayProblem } from '#core/problem.ts';
import { toCover } from '#core/register/cover.ts';
import { readRegisterCsv } from '#core/register/csv.ts';
import { readRingCatalogue } from '#core/register/rings.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import { type DesignSurface, layOutDesign } from '#core/surface/design.ts';
import type { Shot } from '#core/surface/types.ts';
import { readLandXml, unitForGrid } from '#core/survey/landXml.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import { Refusal } from './refusal.ts';

/** Lines for standard error, and how many rows could not be read. */
export class Report {
  readonly lines: string[] = [];
  bad = 0;

  refuse(problem: Problem, file = ''): void {
    this.bad++;
    this.lines.push(file + sayProblem(problem));
  }

  note(line: string): void {
    this.lines.push(`note: ${line}`);
  }
}

function readText(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    throw new Refusal(`${path}: ${code === 'ENOENT' ? 'no such file' : message}`);
  }
}

/** @throws Refusal listing every fault of the catalogue. */
export function loadCatalogue(path: string): RingCatalogue {
  const content = readText(path);
  let json: unknown;
  try {
    json = JSON.parse(content);
  } catch (error) {
    throw new Refusal(`${path}: not JSON: ${(error as Error).message}`);
  }
  const catalogue = readRingCatalogue(json);
  if (Array.isArray(catalogue)) throw new Refusal(...catalogue.map((p) => `${path}: ${sayProblem(p)}`));
  return catalogue;
}

/** Structures that can be planned; every other row is reported. */
export function loadCovers(
  path: string,
  { crs, projection, catalogue }: { crs: CrsDefinition; projection: Projection; catalogue: RingCatalogue },
  report: Report,
): Cover[] {
  const { metresPerUnit } = crs;
  const units = { metresPerUnit, elevationMetresPerUnit: metresPerUnit, projection };
  const register = readRegisterCsv(readText(path), units);
  for (const problem of register.problems) report.refuse(problem);
  for (const warning of register.warnings) report.note(sayProblem(warning));
  const covers: Cover[] = [];
  for (const row of register.rows) {
    const cover = toCover(row);
    const problem = 'code' in cover ? cover : lacksBearing(cover, row.row, catalogue);
    if (problem) report.refuse(problem);
    else covers.push(cover as Cover);
  }
  const outside = covers.filter((c) => !insideArea(crs, ...projection.toLonLat(c.east, c.north)));
  if (outside.length > 0) {
    const some = outside.slice(0, 5).map((c) => c.id);
    const names = some.join(', ') + (outside.length > some.length ? ', …' : '');
    report.note(
      `outside the area of use of EPSG:${crs.code} (${crs.name}): ${outside.length} structures: ${names}`,
    );
  }
  return covers;
}

function lacksBearing(cover: Cover, row: number, catalogue: RingCatalogue): Problem | null {
  const counts = catalogue.indexFrom === 'road' && catalogue.indexPositions > 0;
  if (cover.roadBearing !== null || !counts || !catalogue.rings.some((r) => r.thick > r.thin)) return null;
  return {
    code: 'missing',
    row,
    column: 'road_bearing_deg',
    value: null,
    message: `${cover.id} cannot be planned without it: this catalogue counts its marks from up-station`,
  };
}

/** Shots of a point file; bad rows are reported, codes that are no known ones are listed once. */
export function loadShots(path: string, metresPerUnit: number, report: Report): Shot[] {
  const read = readPnezd(readText(path), { metresPerUnit, elevationMetresPerUnit: metresPerUnit });
  for (const problem of read.problems) report.refuse(problem, 'shots: ');
  for (const warning of read.warnings) report.note(`shots: ${sayProblem(warning)}`);
  const unknown = read.codes.filter((c) => !c.known).map((c) => `${c.code || '(blank)'} x ${c.count}`);
  if (unknown.length > 0) report.note(`codes taken as shots on the finished surface: ${unknown.join(', ')}`);
  return read.shots;
}

/** The one triangulated surface of a LandXML file. @throws Refusal where there is none or the choice is open. */
export function loadDesign(path: string, metresPerUnit: number, report: Report): DesignSurface {
  const file = readLandXml(readText(path));
  const { unit, problems } = file;
  const fatal = problems.find(
    (p) => p.code === 'docType' || p.code === 'notWellFormed' || p.code === 'notLandXml',
  );
  if (fatal) throw new Refusal(`${basename(path)}: ${sayProblem(fatal)}`);
  for (const problem of problems) report.refuse(problem, 'design: ');
  const surfaces = file.surfaces.filter((s) => s.faces.length > 0);
  if (surfaces.length === 0)
    throw new Refusal(`${basename(path)}: no triangulated surface with visible faces`);
  if (surfaces.length > 1) {
    const names = surfaces.map((s) => `"${s.name}"`).join(', ');
    throw new Refusal(
      `${basename(path)}: ${surfaces.length} surfaces (${names}); give a file with the finished one`,
    );
  }
  const { metres, doubt } = unitForGrid(unit, metresPerUnit);
  if (doubt) report.note(`design: ${doubt}`);
  const [{ name, points, faces }] = surfaces;
  return layOutDesign(name || basename(path), points, faces, metres);
}

export const surfaceName = (path: string): string => basename(path);
