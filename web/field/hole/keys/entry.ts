import { readDecimal } from '#core/units/decimal.ts';
import { formatSmall } from '#core/units/format.ts';
import { fractionText, parseFeetAndInches, parseInches, toFraction } from '#core/units/fraction.ts';
import { fromMetres, parseLength, toMetres } from '#core/units/length.ts';
import { styleOf } from '../units.ts';

/** How a crew writes sizes: inches and fractions, tenths of a foot, or millimetres. */
export type Way = 'inches' | 'feet' | 'millimetres' | 'metres';

export const ways: readonly { way: Way; word: string; unit: 'in' | 'ft' | 'mm' }[] = [
  { way: 'inches', word: 'Inches', unit: 'in' },
  { way: 'feet', word: 'Tenths of ft', unit: 'ft' },
  { way: 'millimetres', word: 'mm', unit: 'mm' },
];

const units = { inches: 'in', feet: 'ft', millimetres: 'mm', metres: 'm' } as const;

export const unitOf = (way: Way) => units[way];

/** A key of the pad. `part` counts sixteenths of an inch; `side` turns low into proud and back. */
export type Key =
  | { key: 'digit'; digit: number }
  | { key: 'part'; sixteenths: number }
  | { key: 'step'; sixteenths: -1 | 1 }
  | { key: 'point' | 'back' | 'side' };

/** Most digits before the point or the fraction: a tape in feet, inches or millimetres never has more. */
const mostDigits = 4;

/** What the pad makes of the text so far. Low is written with a minus; the fraction of an inch follows the whole. */
export function press(text: string, key: Key, way: Way): string {
  if (key.key === 'side') return text.startsWith('−') ? text.slice(1) : `−${text}`;
  const sign = text.startsWith('−') ? '−' : '';
  return sign + pressPlain(text.slice(sign.length).trim(), key, way);
}

function pressPlain(text: string, key: Key, way: Way): string {
  if (key.key === 'back')
    return text.includes(' ') ? text.split(' ')[0] : text.includes('/') ? '' : text.slice(0, -1);
  if (key.key === 'point') return way === 'inches' || text.includes('.') ? text : `${text || '0'}.`;
  if (key.key === 'digit') return addDigit(text, String(key.digit));
  if (way !== 'inches') return text;
  const inches = parseInches(text || '0');
  if (inches === null) return text;
  if (key.key === 'part')
    return fractionText(Math.floor(inches) + (key as { sixteenths: number }).sixteenths / 16);
  const stepped = (Math.round(inches * 16) + (key as { sixteenths: number }).sixteenths) / 16;
  return stepped < 0 ? text : fractionText(stepped);
}

/** A digit goes to the whole inches, before a fraction that is already there; a leading nought gives way. */
function addDigit(text: string, digit: string): string {
  const slash = text.includes('/');
  const [whole, part] = slash ? (text.includes(' ') ? text.split(' ') : ['', text]) : [text, ''];
  if (whole.replace(/\..*/, '').length >= mostDigits && !whole.includes('.')) return text;
  if (/\.\d{3}/.test(whole)) return text;
  const longer = whole === '0' ? digit : whole + digit;
  return part ? `${longer} ${part}` : longer;
}

export type Reading = { metres: number; echo: string } | { fault: string } | null;

/** Longest tape, thickest ring or worst rim error that is believed. Metres. */
export const farthest = 2;

/**
 * What was understood of a text. A unit that is typed with it wins over the way; null for a blank one.
 * `echo` repeats it in the project's unit wherever it was typed in another: `0.65 ft = 7 13/16 in`.
 */
export function readEntry(text: string, way: Way, shown: 'in' | 'mm', most = farthest): Reading {
  const plain = text.trim();
  if (plain === '' || plain === '−') return null;
  const metres = metresOf(plain, way);
  if (metres === null || !Number.isFinite(metres))
    return { fault: `"${plain}" is not a size. ${example[way]}` };
  if (Math.abs(metres) > most) {
    const size = `${plain}${/[a-z"'″′]/i.test(plain) ? '' : ` ${unitOf(way)}`}`;
    return { fault: `${size} is too much. Wrong unit?` };
  }
  return { metres, echo: echoOf(plain, metres, { way, shown }) };
}

const example: Record<Way, string> = {
  inches: 'Type 13 7/8.',
  feet: 'Type 0.65.',
  millimetres: 'Type 201.',
  metres: 'Type 5.16.',
};

function metresOf(text: string, way: Way): number | null {
  if (/[a-z"'″′]/i.test(text)) {
    const feet = parseFeetAndInches(text);
    if (feet !== null) return toMetres(feet, 'ft');
    const length = parseLength(text);
    return typeof length === 'number' ? length : null;
  }
  const value = way === 'inches' ? parseInches(text) : readDecimal(text.replace(/\.$/, ''));
  return value === null ? null : toMetres(value, unitOf(way));
}

function echoOf(text: string, metres: number, { way, shown }: { way: Way; shown: 'in' | 'mm' }): string {
  const own = formatSmall(metres, styleOf(shown));
  const hasUnit = /[a-z"'″′]/i.test(text);
  const typed = hasUnit ? text : `${text.replace(/\.$/, '')} ${unitOf(way)}`;
  if (typed === own) return own;
  if (shown === 'in' && (way === 'inches' || hasUnit)) {
    // Nothing is lost in sixteenths: say it once.
    const inches = Math.abs(fromMetres(metres, 'in')) * 16;
    if (way === 'inches' && !hasUnit && Math.abs(inches - Math.round(inches)) < 1e-6) return own;
  }
  return `${typed} = ${own}`;
}

const decimals: Record<Way, number> = { inches: 3, feet: 3, millimetres: 0, metres: 3 };

/** A size as text that the pad can go on with. */
export function entryText(metres: number, way: Way): string {
  if (way === 'inches') return fractionText(fromMetres(metres, 'in'));
  const text = fromMetres(metres, unitOf(way)).toFixed(decimals[way]);
  const short = text.includes('.') ? text.replace(/0+$/, '').replace(/\.$/, '') : text;
  return Number(short) === 0 ? '0' : short.replace('-', '−');
}

/** Fractions of the pad, in sixteenths. */
export const eighths = [2, 4, 6, 8, 10, 12, 14] as const;

const signs: Record<string, string> = {
  '1/8': '⅛',
  '1/4': '¼',
  '3/8': '⅜',
  '1/2': '½',
  '5/8': '⅝',
  '3/4': '¾',
  '7/8': '⅞',
};

export function partWord(sixteenths: number): string {
  const { numerator, denominator } = toFraction(sixteenths / 16);
  const text = `${numerator}/${denominator}`;
  return signs[text] ?? text;
}
