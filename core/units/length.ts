import type { Problem } from '../problem.ts';
import { parseInches } from './fraction.ts';

/** `ft` is the international foot, `us-ft` the US survey foot. */
export type LengthUnit = 'm' | 'mm' | 'cm' | 'in' | 'ft' | 'us-ft';

/**
 * Metres in one unit. The inch and the foot are exact (international yard and pound agreement, 1959);
 * the US survey foot is 1200/3937 m exactly (85 FR 62698, 2020-10-05).
 */
export const metresPer: Readonly<Record<LengthUnit, number>> = {
  m: 1,
  mm: 0.001,
  cm: 0.01,
  in: 0.0254,
  ft: 0.3048,
  'us-ft': 1200 / 3937,
};

const unitWords: Readonly<Record<string, LengthUnit>> = {
  m: 'm',
  metre: 'm',
  metres: 'm',
  meter: 'm',
  meters: 'm',
  mm: 'mm',
  millimetre: 'mm',
  millimetres: 'mm',
  millimeter: 'mm',
  millimeters: 'mm',
  cm: 'cm',
  centimetre: 'cm',
  centimetres: 'cm',
  centimeter: 'cm',
  centimeters: 'cm',
  in: 'in',
  inch: 'in',
  inches: 'in',
  '"': 'in',
  '″': 'in',
  ft: 'ft',
  foot: 'ft',
  feet: 'ft',
  "'": 'ft',
  '′': 'ft',
  'us-ft': 'us-ft',
  us_ft: 'us-ft',
  usft: 'us-ft',
  ftus: 'us-ft',
};

/** The unit that a word or suffix stands for (`in`, `Inches`, `us_ft`, `ftUS`), or null. */
export function unitFromWord(word: string): LengthUnit | null {
  const key = word.trim().toLowerCase();
  return Object.hasOwn(unitWords, key) ? unitWords[key] : null;
}

export function toMetres(value: number, unit: LengthUnit): number {
  return value * metresPer[unit];
}

export function fromMetres(metres: number, unit: LengthUnit): number {
  return metres / metresPer[unit];
}

/**
 * Reads a length with its unit: `0.25in`, `6 mm`, `1/4 in`, `13 7/8"`, `2.5ft`.
 * Returns metres; a bare number is refused, since it could be inches as well as millimetres.
 */
export function parseLength(text: string, field = 'length'): number | Problem {
  const trimmed = text.trim();
  const unitAt = trimmed.search(/[a-z"'″′]/i);
  const refuse = (code: string, message: string): Problem => ({
    code,
    row: null,
    column: field,
    value: text,
    message,
  });
  if (unitAt < 0) {
    return parseInches(trimmed) === null
      ? refuse('notALength', 'not a length; write a number and its unit, e.g. 0.25in or 6mm')
      : refuse('noUnit', 'a bare number could be inches or millimetres; write its unit, e.g. 0.25in or 6mm');
  }
  const unit = unitFromWord(trimmed.slice(unitAt));
  if (unit === null) {
    return refuse(
      'unknownUnit',
      `"${trimmed.slice(unitAt)}" is not a unit of length; use m, mm, cm, in, ft or us-ft`,
    );
  }
  const value = parseInches(trimmed.slice(0, unitAt));
  if (value === null)
    return refuse('notALength', 'not a number before the unit; use a decimal point or a fraction');
  return toMetres(value, unit);
}
