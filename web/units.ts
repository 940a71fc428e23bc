import { type ElevationUnit, fixed, formatSmall, type SmallLengthStyle } from '#core/units/format.ts';
import { fractionText, fromFraction, toFraction } from '#core/units/fraction.ts';
import { fromMetres } from '#core/units/length.ts';
import type { Project } from '#shared/project.ts';

/** How lengths are shown to the people of a project: decimal inches or whole millimetres at the desk. */
export interface Units {
  small: SmallLengthStyle;
  smallUnit: 'in' | 'mm';
  elevation: ElevationUnit;
}

export function unitsOf(project: Pick<Project, 'displayUnit' | 'elevationUnit'>): Units {
  return {
    small: project.displayUnit === 'mm' ? 'millimetres' : 'decimalInches',
    smallUnit: project.displayUnit,
    elevation: project.elevationUnit,
  };
}

/** The unit of elevations as it is read; both feet are written ft, since the project names its foot. */
export const unitName = ({ elevation }: Pick<Units, 'elevation'>): 'm' | 'ft' =>
  elevation === 'm' ? 'm' : 'ft';

const vulgar: Record<string, string> = { '1/4': '¼', '1/2': '½', '3/4': '¾' };

/** A limit or a ring's size as its catalogue writes it: `¼`, `1½`, `3`, `0.3` in, or whole mm; no unit. */
export function nominalSize(metres: number, unit: 'in' | 'mm'): string {
  const size = fromMetres(metres, unit);
  if (unit === 'mm') return fixed(size, 0);
  const fraction = toFraction(size, 4);
  if (Math.abs(fromFraction(fraction) - size) > 0.001) return String(Number(size.toFixed(3)));
  const [whole, part] = fractionText(size, 4).includes('/')
    ? [fraction.whole || '', vulgar[`${fraction.numerator}/${fraction.denominator}`]]
    : [fraction.whole, ''];
  return `${fraction.negative ? '−' : ''}${whole}${part}`;
}

/** `¼ in` or `6 mm`. */
export function nominal(metres: number, { smallUnit }: Units): string {
  return `${nominalSize(metres, smallUnit)} ${smallUnit}`;
}

/** A small length with an explicit sign, `+0.06 in`, `−2 mm`, `0.00 in`. */
export function signed(metres: number, units: Units): string {
  const text = formatSmall(metres, units.small);
  return metres > 0 && Number.parseFloat(text) !== 0 ? `+${text}` : text;
}
