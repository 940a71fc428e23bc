import { feetAndInchesText, fractionText } from './fraction.ts';
import { fromMetres } from './length.ts';

/** How small lengths (rings, buildup, errors) are shown: decimal inches at the desk, fractions in the field. */
export type SmallLengthStyle = 'decimalInches' | 'fractionInches' | 'millimetres';

/** The unit of the project's elevations. */
export type ElevationUnit = 'm' | 'ft' | 'us-ft';

const minus = (text: string): string => text.replace('-', '−');

/** A fixed number of decimals with a true minus sign, and never a minus before zero. */
export function fixed(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return minus(Number(text) === 0 ? text.replace('-', '') : text);
}

/** A small length in metres as `6.44 in`, `6 7/16 in` or `164 mm`. */
export function formatSmall(metres: number, style: SmallLengthStyle): string {
  if (style === 'millimetres') return `${fixed(fromMetres(metres, 'mm'), 0)} mm`;
  const inches = fromMetres(metres, 'in');
  return `${style === 'fractionInches' ? fractionText(inches) : fixed(inches, 2)} in`;
}

/** An elevation in metres as `842.31 ft` or `256.480 m`; both feet are written ft, since the project names its foot. */
export function formatElevation(metres: number, unit: ElevationUnit, digits = unit === 'm' ? 3 : 2): string {
  return `${fixed(fromMetres(metres, unit), digits)} ${unit === 'm' ? 'm' : 'ft'}`;
}

/** A distance along or across the road, as `12.4 m` or `40.7 ft`. */
export function formatDistance(metres: number, unit: ElevationUnit, digits = 1): string {
  return formatElevation(metres, unit, digits);
}

/** A station as `12+34.5` (hundreds of feet) or `0+123.4` (kilometres), without its unit as plans write it. */
export function formatStation(metres: number, unit: ElevationUnit): string {
  const full = unit === 'm' ? 1000 : 100;
  const tenths = Math.round(Math.abs(fromMetres(metres, unit)) * 10);
  const whole = Math.floor(tenths / (full * 10));
  const rest = (tenths - whole * full * 10) / 10;
  const width = unit === 'm' ? 5 : 4;
  return `${metres < 0 && tenths > 0 ? '−' : ''}${whole}+${rest.toFixed(1).padStart(width, '0')}`;
}

/** A rim error in metres, + = proud, as `0.06 in low`, `3 mm proud` or `flush`. */
export function proudOrLow(metres: number, style: SmallLengthStyle): string {
  const size = formatSmall(Math.abs(metres), style);
  if (Number.parseFloat(size) === 0) return 'flush';
  return `${size} ${metres > 0 ? 'proud' : 'low'}`;
}

/** A ratio as `2.50 %`. */
export function formatPercent(ratio: number, digits = 2): string {
  return `${fixed(ratio * 100, digits)} %`;
}

/** An elevation or depth in metres as `14 ft 3 1/8 in`, for crews that work with a folding rule. */
export function formatFeetAndInches(metres: number, denominator = 16): string {
  return feetAndInchesText(fromMetres(metres, 'ft'), denominator);
}
