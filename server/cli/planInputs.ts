import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { type CrsDefinition, insideArea, type Projection } from '#core/crs/crs.ts';
import { landXmlReader } from '#core/intake/landXml.ts';
import { needsSeat } from '#core/plan/plan.ts';
import type { Cover } from '#core/plan/types.ts';
import { type Problem, sayProblem } from '#core/problem.ts';
import { toCover } from '#core/register/cover.ts';
import { readRegisterCsv } from '#core/register/csv.ts';
import { markOf, noElevations } from '#core/register/noElevation.ts';
import { readRingCatalogue } from '#core/register/rings.ts';
import type { RegisterRow } from '#core/register/types.ts';
import type { RingCatalogue } from '#core/stack/types.ts';
import { type DesignSurface, layOutDesign } from '#core/surface/design.ts';
import type { Shot } from '#core/surface/types.ts';
import { readPnezd } from '#core/survey/pnezd.ts';
import { counted } from '#core/units/count.ts';
import { unitForGrid } from '#core/units/gridUnit.ts';
import type { LengthUnit } from '#core/units/length.ts';
import { fileSource } from '../intake/workplace.ts';
import { stretchedGrid } from './planPlaces.ts';
import { Refusal } from './refusal.ts';

/** Lines for standard error, and how many rows could not be read. */
export class Report {
  readonly lines: string[] = [];
  bad = 0;

  refuse(problem: Problem, file = ''): void {
    this.refuseFor(file + sayProblem(problem));
  }

  refuseFor(line: string): void {
    this.bad++;
    this.lines.push(line);
  }

  note(line: string): void {
    this.lines.push(`note: ${line}`);
  }
}

function readText(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw unreadable(path, error as NodeJS.ErrnoException);
  }
}

function unreadable(path: string, { code, message }: NodeJS.ErrnoException): Refusal {
  return new Refusal(`${path}: ${code === 'ENOENT' ? 'no such file' : message}`);
}

/** @throws Refusal listing every fault of the catalogue. */
export function loadCatalogue(path: string): RingCatalogue {
  const content = readText(path);
  let json: unknown;
  try {
    // Editors of some systems begin a file with a byte order mark, which JSON does not have.
    json = JSON.parse(content.replace(/^\uFEFF/, ''));
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
  const file = `${basename(path)}: `;
  for (const problem of register.problems) report.refuse(problem, file);
  // A row without a place is refused below, which says it once.
  for (const warning of register.warnings)
    if (warning.code !== 'noPlace') report.note(file + sayProblem(warning));
  const covers: Cover[] = [];
  for (const { row, noSeat, noRim } of withoutMarks(register.rows)) {
    if (noRim) report.note(file + sayProblem(noRim));
    const cover = toCover(row);
    const problem = 'code' in cover ? cover : lacksBearing(cover, row.row, catalogue);
    if (problem) {
      report.refuse(problem, file);
      continue;
    }
    covers.push(cover as Cover);
    // Its plan is printed and asks for the seat; that it has none is a fault of its row all the same.
    if (needsSeat(cover as Cover)) report.refuse(noSeat, file);
  }
  const outside = covers.filter((c) => !insideArea(crs, ...projection.toLonLat(c.east, c.north)));
  if (outside.length > 0) {
    const some = outside.slice(0, 5).map((c) => c.id);
    const names = some.join(', ') + (outside.length > some.length ? ', …' : '');
    report.note(
      `outside the area of use of EPSG:${crs.code} (${crs.name}): ${counted(outside.length, 'structure')}: ${names}`,
    );
  }
  const stretched = stretchedGrid(covers, projection);
  if (stretched !== null) report.note(`EPSG:${crs.code} (${crs.name}): ${stretched}`);
  return covers;
}

/** The rows without elevations that are none, and what to say of each that has none. */
function withoutMarks(
  rows: readonly RegisterRow[],
): { row: RegisterRow; noSeat: Problem; noRim: Problem | null }[] {
  const levels = rows.map(({ rimElevation: rim, seatElevation: seat }) => ({ rim, seat }));
  return noElevations(levels).map((isNone, at) => {
    const { rim, seat } = levels[at];
    const row = {
      ...rows[at],
      rimElevation: isNone.rim ? null : rim,
      seatElevation: isNone.seat ? null : seat,
    };
    const noSeat = noElevation(row, 'seat_elevation', isNone.seat ? seat : null);
    return { row, noSeat, noRim: isNone.rim ? noElevation(row, 'rim_elevation', rim) : null };
  });
}

/** `metres`: what stands for none; null for a blank. */
function noElevation({ row, id }: RegisterRow, column: string, metres: number | null): Problem {
  const value = metres === null ? null : String(markOf(metres));
  const what = value === null ? `${id} has none` : `stands for no elevation, so ${id} has none`;
  const then =
    column === 'seat_elevation' ? '; the seat has to be measured before a stack can be planned' : '';
  return { code: 'missing', row, column, value, message: what + then };
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
  if (read.shots.length === 0 && read.problems.length === 0)
    report.refuseFor(`${basename(path)}: no shots in it`);
  const unknown = read.codes.filter((c) => !c.known).map((c) => `${c.code || '(blank)'} x ${c.count}`);
  if (unknown.length > 0) report.note(`codes taken as shots on the finished surface: ${unknown.join(', ')}`);
  return read.shots;
}

/** The one triangulated surface of a LandXML file. @throws Refusal where there is none or the choice is open. */
export async function loadDesign(
  path: string,
  metresPerUnit: number,
  report: Report,
): Promise<DesignSurface> {
  const refuse = (why: string) => new Refusal(`${basename(path)}: ${why}`);
  const file = await fileSource(path)
    .then((source) => landXmlReader.open([source]))
    .catch((error: NodeJS.ErrnoException) => {
      if (error.code === undefined) throw error;
      throw unreadable(path, error);
    });
  if ('message' in file) throw refuse(sayProblem(file));
  for (const problem of file.problems) {
    // Parts that this command has no use for are no fault of the file.
    if (problem.code === 'ignored' || problem.code === 'noSurface')
      report.note(`design: ${sayProblem(problem)}`);
    else report.refuse(problem, 'design: ');
  }
  const { tins, units } = file;
  if (tins.length === 0) throw refuse('no triangulated surface with visible faces');
  if (tins.length > 1) {
    const some = tins.slice(0, 5).map((s) => `"${s.name}"`);
    const names = some.join(', ') + (tins.length > some.length ? ', …' : '');
    throw refuse(`${tins.length} surfaces (${names}); give a file with the finished one`);
  }
  const { metres, doubt } = unitForGrid(units.horizontal as LengthUnit | null, metresPerUnit);
  if (doubt) report.note(`design: ${doubt}`);
  const [tin] = tins;
  return layOutDesign({ ...tin, name: tin.name || basename(path) }, metres);
}

export const surfaceName = (path: string): string => basename(path);
