import { toProblem } from '../../survey/checks/types.ts';
import type { LengthUnit } from '../../units/length.ts';
import type { DelimitedFile } from '../delimited.ts';
import { refuseFile } from '../problemLog.ts';
import type { CrsStatement, OpenedFile, PointSet, RawShot } from '../types.ts';
import type { ColumnUnderstood, CrsLookup, Question, Said, Understanding } from '../understanding.ts';
import { Gathered } from './gathered.ts';
import { understandPlace } from './place.ts';
import { mostChecked, ShotSet } from './shotSet.ts';
import { understandVertical } from './vertical.ts';

export const sampleSize = 5;

export async function understandShots(
  file: OpenedFile,
  set: PointSet,
  { said, lookup }: { said: Said; lookup: CrsLookup },
): Promise<Omit<Understanding, 'parts'>> {
  const { gathered, sample, checked, epoch } = await readAll(set);
  const layout = 'layout' in file ? (file as DelimitedFile).layout : null;
  const isLonLat = layout !== null && (layout.at.northing < 0 || layout.at.easting < 0);
  const statement: CrsStatement | null = isLonLat
    ? { epsg: 4326, text: 'columns of latitude and longitude', from: 'headings' }
    : file.crs;
  const units = { ...file.units };
  const headingUnit = layout?.columns[layout.at.easting]?.unit ?? null;
  if (headingUnit !== null) units.horizontal = headingUnit;
  const axesInDoubt = layout?.axesInDoubt ?? false;
  const place = understandPlace({ statement, units, gathered, axesInDoubt, said, lookup });
  const elevationUnit = layout?.columns[layout.at.elevation]?.unit ?? null;
  const vertical = understandVertical({
    stated: elevationUnit ?? file.units.vertical,
    statedFrom: elevationUnit ? 'heading' : 'file',
    metresPerUnit: place.metresPerUnit,
    gathered,
    said,
    consecutive: sample.map((s) => [s.easting, s.northing, s.elevation] as const),
  });
  const metresPerUnit = place.metresPerUnit ?? 1;
  const settled = place.metresPerUnit !== null;
  const checkUnits = { metresPerUnit, elevationMetresPerUnit: metresPerUnit, settled };
  const findings = isLonLat ? [] : checked.findings(checkUnits);
  const problems = [...file.problems, ...place.problems, ...findings.map(toProblem)];
  if (checked.later > 0) {
    const message = `of ${gathered.count} shots the first ${mostChecked} were checked in full, the others only for elevations that stand for "none"`;
    problems.push(refuseFile('notAllChecked', message));
  }
  const questions = [...markQuestions(file), ...place.questions];
  if (vertical.question) questions.push(vertical.question);
  return {
    format: file.format,
    kind: 'shots',
    name: set.name,
    count: gathered.count,
    bounds: gathered.bounds(place.swapped),
    lands: place.lands,
    crs: place.crs,
    units: { horizontal: place.horizontal, vertical: vertical.unit },
    columns: layout
      ? columnsOf(layout.columns, place.swapped, { said, horizontal: place.horizontal.unit })
      : [],
    sample: sample.map((shot) => sampleOf(shot, place.swapped)),
    problems,
    questions,
    ...(epoch === null ? {} : { epoch }),
  };
}

interface AllShots {
  gathered: Gathered;
  sample: RawShot[];
  checked: ShotSet;
  /** Day that every shot of the file names; null where one does not, or names another. */
  epoch: string | null;
}

async function readAll(set: PointSet): Promise<AllShots> {
  const gathered = new Gathered();
  const sample: RawShot[] = [];
  const checked = new ShotSet();
  let written: string | null = null;
  let day: string | null = null;
  let isOneDay = true;
  for await (const batch of set.shots()) {
    for (const shot of batch) {
      gathered.count++;
      gathered.add(shot.easting, shot.northing, shot.elevation);
      if (sample.length < sampleSize) sample.push(shot);
      checked.add(shot);
      if (!isOneDay || shot.epoch === written) continue;
      written = shot.epoch ?? '';
      const its = calendarDay(written);
      isOneDay = its !== null && (day === null || day === its);
      day = its;
    }
  }
  return { gathered, sample, checked, epoch: isOneDay ? day : null };
}

const daysOfMonths = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/** The day of a date as ISO 8601 writes it, whatever follows; other ways of writing one can be read in two ways. */
function calendarDay(text: string): string | null {
  const found = /^\s*((\d{4})-(\d{2})-(\d{2}))(?!\d)/.exec(text);
  if (found === null) return null;
  const [year, month, day] = found.slice(2).map(Number);
  const isLeap = (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
  const last = month === 2 && !isLeap ? 28 : daysOfMonths[month - 1];
  return day >= 1 && day <= last ? found[1] : null;
}

function sampleOf({ row, point, northing, easting, elevation, code, sigma }: RawShot, swapped: boolean) {
  return {
    row,
    point,
    northing: swapped ? easting : northing,
    easting: swapped ? northing : easting,
    elevation: Number.isNaN(elevation) ? null : elevation,
    code,
    ...(sigma === null ? {} : { sigma }),
  };
}

function columnsOf(
  columns: NonNullable<DelimitedFile['layout']>['columns'],
  swapped: boolean,
  { said, horizontal }: { said: Said; horizontal: LengthUnit | 'degree' | null },
): ColumnUnderstood[] {
  const exchanged: Readonly<Record<string, string>> = { northing: 'easting', easting: 'northing' };
  return columns.map(({ heading, meaning, unit }) => {
    const isAxis = meaning === 'northing' || meaning === 'easting';
    return {
      name: heading,
      meaning: swapped && isAxis ? exchanged[meaning] : meaning,
      unit: unit ?? (isAxis ? horizontal : null),
      from: said.axes !== undefined && isAxis ? 'given' : unit ? 'heading' : 'file',
    };
  });
}

/** Numbers such as 12,345 alone could be twelve or twelve thousand. */
export function markQuestions(file: OpenedFile): Question[] {
  if (!('dialect' in file)) return [];
  const { dialect } = file as DelimitedFile;
  if (!dialect.markInDoubt) return [];
  const isComma = dialect.mark === 44;
  return [
    {
      code: 'decimalMark',
      about: null,
      text: 'Every number that shows a mark has three digits after it. Is the comma a decimal mark, or does it separate thousands?',
      choices: [
        { id: ',', text: '12,345 is a little more than 12', example: { '12,345': 12.345 } },
        { id: '.', text: '12,345 is a little more than 12 thousand', example: { '12,345': 12345 } },
      ],
      likely: isComma ? ',' : '.',
    },
  ];
}
