/** A number of inches as a crew reads it: sign x (whole + numerator / denominator), in lowest terms. */
export interface Fraction {
  negative: boolean;
  whole: number;
  numerator: number;
  denominator: number;
}

const vulgar: Readonly<Record<string, string>> = {
  '½': '1/2',
  '¼': '1/4',
  '¾': '3/4',
  '⅛': '1/8',
  '⅜': '3/8',
  '⅝': '5/8',
  '⅞': '7/8',
};

/** Rounds to the nearest 1/`denominator` (a power of two, 16 for the field), half away from zero. */
export function toFraction(value: number, denominator = 16): Fraction {
  const parts = Math.round(Math.abs(value) * denominator);
  const whole = Math.floor(parts / denominator);
  let numerator = parts - whole * denominator;
  let lowest = denominator;
  while (numerator % 2 === 0 && lowest % 2 === 0) {
    numerator /= 2;
    lowest /= 2;
  }
  return { negative: value < 0 && parts > 0, whole, numerator, denominator: lowest };
}

export function fromFraction({ negative, whole, numerator, denominator }: Fraction): number {
  const size = whole + numerator / denominator;
  return negative ? -size : size;
}

/** `13 7/8`, `7/8`, `13`, `−1/4`: no unit. */
export function fractionText(value: number, denominator = 16): string {
  const fraction = toFraction(value, denominator);
  const parts: string[] = [];
  if (fraction.whole > 0 || fraction.numerator === 0) parts.push(String(fraction.whole));
  if (fraction.numerator > 0) parts.push(`${fraction.numerator}/${fraction.denominator}`);
  return (fraction.negative ? '−' : '') + parts.join(' ');
}

/** Reads `13.875`, `13 7/8`, `13-7/8`, `13 ⅞`, `7/8`, with a sign before it; null when it is none of these. */
export function parseInches(text: string): number | null {
  const plain = text.trim().replace(/[½¼¾⅛⅜⅝⅞]/g, (sign) => ` ${vulgar[sign]}`);
  const match = /^([+\-−])?\s*(?:(\d+(?:\.\d*)?|\.\d+)|(?:(\d+)(?:\s+|-))?(\d+)\s*[/⁄]\s*(\d+))$/.exec(plain);
  if (match === null) return null;
  const [, sign, decimal, whole, numerator, denominator] = match;
  const size =
    decimal === undefined ? Number(whole ?? 0) + Number(numerator) / Number(denominator) : Number(decimal);
  if (!Number.isFinite(size)) return null;
  return sign === '-' || sign === '−' ? -size : size;
}

/** Decimal feet as whole feet and inches to the nearest 1/`denominator` inch: 14.26 -> 14 ft 3 1/8 in. */
export function feetToFeetAndInches(feet: number, denominator = 16): { feet: number; inches: Fraction } {
  const parts = Math.round(Math.abs(feet) * 12 * denominator);
  const wholeFeet = Math.floor(parts / (12 * denominator));
  const inches = toFraction((parts - wholeFeet * 12 * denominator) / denominator, denominator);
  return { feet: feet < 0 ? -wholeFeet : wholeFeet, inches: { ...inches, negative: feet < 0 && parts > 0 } };
}

/** `14 ft 3 1/8 in`; the sign stands once, in front. */
export function feetAndInchesText(feet: number, denominator = 16): string {
  const split = feetToFeetAndInches(feet, denominator);
  const inches = fractionText(fromFraction({ ...split.inches, negative: false }), denominator);
  return `${split.inches.negative ? '−' : ''}${Math.abs(split.feet)} ft ${inches} in`;
}

/** Reads `14 ft 3 1/8 in`, `14' 3 1/8"`, `14'`, as decimal feet; null when it is none of these. */
export function parseFeetAndInches(text: string): number | null {
  const match =
    /^\s*([+\-−])?\s*(\d+)\s*(?:ft|feet|foot|'|′)\s*-?\s*(?:([^a-z"″]+?)\s*(?:in|inch|inches|"|″))?\s*$/i.exec(
      text,
    );
  if (match === null) return null;
  const inches = match[3] === undefined ? 0 : parseInches(match[3]);
  if (inches === null || inches < 0) return null;
  const size = Number(match[2]) + inches / 12;
  return match[1] === '-' || match[1] === '−' ? -size : size;
}
