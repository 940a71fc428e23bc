import { type LengthUnit, metresPer } from '../../units/length.ts';
import type { Choice, Question, Said, UnitUnderstood } from '../understanding.ts';
import type { Gathered } from './gathered.ts';
import { unitWords } from './placeQuestions.ts';

export interface Vertical {
  unit: UnitUnderstood;
  question: Question | null;
}

interface VerticalInput {
  /** What the file or a heading states. */
  stated: LengthUnit | null;
  statedFrom: 'file' | 'heading';
  /** Metres in one unit of the horizontal; null where that is not known. */
  metresPerUnit: number | null;
  gathered: Gathered;
  said: Said;
  /** Shots taken one after the other, for the grade between them. */
  consecutive: readonly (readonly [x: number, y: number, z: number])[];
}

/** Horizontal and vertical units are two settings: feet on the ground say nothing of the elevations. */
export function understandVertical(input: VerticalInput): Vertical {
  const { stated, statedFrom, said, gathered, metresPerUnit, consecutive } = input;
  if (said.verticalUnit) return { unit: { unit: said.verticalUnit, from: 'given' }, question: null };
  if (stated !== null) return { unit: { unit: stated, from: statedFrom }, question: null };
  const unknown: UnitUnderstood = { unit: null, from: 'unknown' };
  const bounds = gathered.bounds();
  if (bounds === null || bounds.minElevation === null) return { unit: unknown, question: null };
  const horizontal = metresPerUnit === null ? null : nearest(metresPerUnit);
  const units: LengthUnit[] = horizontal === 'ft' ? ['ft', 'us-ft', 'm'] : ['us-ft', 'ft', 'm'];
  if (horizontal === 'm') units.unshift(units.pop()!);
  const question: Question = {
    code: 'verticalUnit',
    about: 'elevation',
    text: 'Nothing says in which unit the elevations are; the unit of the positions does not settle it. Which is it?',
    choices: units.map((unit) => choiceOf(unit, { metresPerUnit, consecutive })),
    likely: null,
  };
  return { unit: unknown, question };
}

function choiceOf(
  unit: LengthUnit,
  { metresPerUnit, consecutive }: Pick<VerticalInput, 'metresPerUnit' | 'consecutive'>,
): Choice {
  const grade = metresPerUnit === null ? null : steepest(consecutive, metresPer[unit] / metresPerUnit);
  if (grade === null) return { id: unit, text: unitWords[unit] };
  const text = `${unitWords[unit]}: the first shots are then ${grade.toFixed(4)} % apart at most`;
  return { id: unit, text, example: { gradePercent: grade } };
}

/** Steepest grade between shots that follow each other, percent. */
function steepest(shots: VerticalInput['consecutive'], ratio: number): number | null {
  let most: number | null = null;
  for (let i = 1; i < shots.length; i++) {
    const [ax, ay, az] = shots[i - 1];
    const [bx, by, bz] = shots[i];
    const run = Math.hypot(bx - ax, by - ay);
    const grade = (100 * Math.abs(bz - az) * ratio) / run;
    if (run > 0 && Number.isFinite(grade) && (most === null || grade > most)) most = grade;
  }
  return most;
}

function nearest(metresPerUnit: number): LengthUnit | null {
  if (Math.abs(metresPerUnit - 1) < 1e-9) return 'm';
  if (Math.abs(metresPerUnit - metresPer['us-ft']) < 1e-9) return 'us-ft';
  return Math.abs(metresPerUnit - metresPer.ft) < 1e-9 ? 'ft' : null;
}
