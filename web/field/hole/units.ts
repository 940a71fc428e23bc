import { formatSmall, type SmallLengthStyle } from '#core/units/format.ts';
import { fractionText, toFraction } from '#core/units/fraction.ts';
import { fromMetres } from '#core/units/length.ts';
import type { Project } from '#shared/project.ts';
import { type Units, unitsOf } from '../../units.ts';

/** Lengths as crews read them: fractions of an inch to 1/16, or whole millimetres. */
export function fieldUnits(project: Pick<Project, 'displayUnit' | 'elevationUnit'>): Units {
  return { ...unitsOf(project), small: styleOf(project.displayUnit) };
}

export const styleOf = (unit: 'in' | 'mm'): SmallLengthStyle =>
  unit === 'mm' ? 'millimetres' : 'fractionInches';

/** A size in the parts that are drawn: 2, 3 and 8 of 2 3/8 in; a whole number alone in millimetres. */
export interface BigSize {
  whole: string;
  numerator: string | null;
  denominator: string | null;
  unit: 'in' | 'mm';
}

export function bigSize(metres: number, unit: 'in' | 'mm'): BigSize {
  if (unit === 'mm') {
    const whole = String(Math.round(Math.abs(fromMetres(metres, 'mm'))));
    return { whole, numerator: null, denominator: null, unit };
  }
  const { whole, numerator, denominator } = toFraction(Math.abs(fromMetres(metres, 'in')));
  const hasPart = numerator > 0;
  return {
    whole: whole > 0 || !hasPart ? String(whole) : '',
    numerator: hasPart ? String(numerator) : null,
    denominator: hasPart ? String(denominator) : null,
    unit,
  };
}

/** `1/8 low`, `3 mm proud`, `flush`: what a crew says of a rim; no `in`, which the crew takes as read. */
export function lowOrProud(metres: number, units: Units): string {
  const size = formatSmall(Math.abs(metres), units.small);
  if (Number.parseFloat(size) === 0) return 'flush';
  return `${size} ${metres > 0 ? 'proud' : 'low'}`;
}

/** `3/8` or `10 mm`: how far tapes disagree. */
export function plainSize(metres: number, unit: 'in' | 'mm'): string {
  return unit === 'mm'
    ? `${Math.round(Math.abs(fromMetres(metres, 'mm')))} mm`
    : fractionText(Math.abs(fromMetres(metres, 'in')));
}
