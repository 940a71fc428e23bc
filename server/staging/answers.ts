import type { CrsDefinition } from '#core/crs/crs.ts';
import { lonLatEpsg } from '#core/crs/statement.ts';
import type { DelimitedOptions } from '#core/intake/delimited.ts';
import type { Question, Said } from '#core/intake/understanding.ts';
import { type LengthUnit, metresPer } from '#core/units/length.ts';
import type { ImportAnswers, ImportTarget } from '#shared/staged-import.ts';
import { badField } from '../http-problem.ts';
import { crsLookup } from '../intake/lookup.ts';

/** Questions that are asked once a column or a line; each is a question of its own. */
const askedOfEach: ReadonlySet<string> = new Set(['columnUnit', 'whichElevation', 'lineKind']);

/** Key of a question's answer. */
export function questionId({ code, about }: Pick<Question, 'code' | 'about'>): string {
  return askedOfEach.has(code) && about !== null ? `${code}:${about}` : code;
}

/** What was said of a file, as the parts that read it take it. */
export interface Given {
  said: Said;
  /** Positions are longitude and latitude, whatever the file says. */
  isLonLat: boolean;
  mark: DelimitedOptions['mark'];
  /** Kind and name of the part that was chosen, where one was. */
  part: { kind: string; name: string | null } | null;
}

interface Around {
  project: { crs: CrsDefinition };
  projectArea: CrsDefinition['area'] | null;
}

/** Answers in the words of questions become what the reading of the file is given. */
export function givenBy(answers: ImportAnswers, { project, projectArea }: Around): Given {
  const questions = answers.questions ?? {};
  const meanings: Record<string, string | null> = { ...answers.meanings };
  const columnUnits: Record<string, LengthUnit> = {};
  for (const [heading, unit] of Object.entries(answers.columnUnits ?? {})) {
    if (unit !== null) columnUnits[heading] = unit;
  }
  const said: Said = { meanings, columnUnits };
  if (projectArea) said.projectArea = projectArea;
  const given: Given = { said, isLonLat: false, mark: undefined, part: null };
  // What the register showed of the unit comes after the unit itself, and wins.
  const inOrder = Object.entries(questions).sort(
    ([a], [b]) => Number(a === 'rimsDiffer') - Number(b === 'rimsDiffer'),
  );
  for (const [id, choice] of inOrder) {
    if (choice !== null) apply(given, { id, choice, project, meanings, columnUnits });
  }
  return given;
}

interface Application {
  id: string;
  choice: string;
  project: Around['project'];
  meanings: Record<string, string | null>;
  columnUnits: Record<string, LengthUnit>;
}

function apply(given: Given, { id, choice, project, meanings, columnUnits }: Application): void {
  const { said } = given;
  const [code, ...rest] = id.split(':');
  const about = rest.join(':');
  switch (code) {
    case 'crs':
    case 'zone':
    case 'lonLatInGrid':
      applySystem(given, choice, project);
      break;
    case 'axisOrder':
      if (choice === 'asRead' || choice === 'swapped') said.axes = choice;
      break;
    case 'horizontalUnit':
    case 'whichFoot':
      if (isUnit(choice)) said.horizontalUnit = choice;
      break;
    case 'verticalUnit':
      if (isUnit(choice)) said.verticalUnit = choice;
      break;
    case 'rimsDiffer': {
      const unit = choice.replace(/^unit:/, '');
      if (isUnit(unit)) said.verticalUnit = unit;
      break;
    }
    case 'decimalMark':
      if (choice === '.' || choice === ',') given.mark = choice;
      break;
    case 'idColumn':
      meanings[choice] = 'id';
      break;
    case 'whichElevation':
      meanings[about] = choice;
      break;
    case 'columnUnit':
      if (isUnit(choice)) columnUnits[about] = choice;
      break;
    case 'part': {
      const [kind, ...name] = choice.split('/');
      given.part = { kind, name: name.length > 0 ? name.join('/') : null };
      break;
    }
  }
}

/** The zone wins over the system that it was found wrong for. */
function applySystem(given: Given, choice: string, project: Around['project']): void {
  if (choice === 'project') given.said.crs = project.crs;
  if (choice === 'degrees' || choice === `EPSG:${lonLatEpsg}`) given.isLonLat = true;
  const code = /^EPSG:(\d{4,6})$/.exec(choice);
  const found = code ? crsLookup.find(Number(code[1])) : null;
  if (found) given.said.crs = found;
}

const isUnit = (text: string): text is LengthUnit => Object.hasOwn(metresPer, text);

/** Refuses answers that no reading could use, naming the field. */
export function checkAnswers({ questions = {} }: ImportAnswers): void {
  for (const [id, choice] of Object.entries(questions)) {
    if (choice === null || !['crs', 'zone'].includes(id)) continue;
    if (choice === 'project' || choice === `EPSG:${lonLatEpsg}`) continue;
    const code = /^EPSG:(\d{4,6})$/.exec(choice);
    if (code && crsLookup.find(Number(code[1]))) continue;
    throw badField(
      `/questions/${id}`,
      'is no projected system that is known here; write its code, e.g. EPSG:2264',
      choice,
    );
  }
}

/** Refuses what no surface can be, naming the field. */
export function checkTarget({ stage, lift, epoch }: ImportTarget): void {
  if (lift !== undefined && stage !== undefined && stage !== 'lift')
    throw badField('/target/lift', `belongs to a surface of the stage lift, not ${stage}`, lift);
  const at = epoch === undefined ? Number.NaN : Date.parse(epoch);
  if (epoch !== undefined && (Number.isNaN(at) || new Date(at).toISOString().slice(0, 10) !== epoch))
    throw badField('/target/epoch', 'is no day of the calendar', epoch);
}
