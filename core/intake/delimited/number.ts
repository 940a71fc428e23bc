import { comma, point, readDecimal } from '../../units/decimal.ts';

/** How a file writes its numbers. */
export interface NumberStyle {
  /** Character code of the decimal mark. */
  mark: number;
  /** The other of point and comma is known to separate thousands. */
  thousands: boolean;
}

const groupedPoint =
  /^[+\-−]?\d{1,3}(?:([ '’\u00a0\u2009\u202f])\d{3}(?:\1\d{3})*|(,)\d{3}(?:,\d{3})*)(\.\d*)?$/;
const groupedComma =
  /^[+\-−]?\d{1,3}(?:([ '’\u00a0\u2009\u202f])\d{3}(?:\1\d{3})*|(\.)\d{3}(?:\.\d{3})*)(,\d*)?$/;
/** No coordinate, elevation or size is larger, in any unit; sums and products of smaller ones stay finite. */
export const largestNumber = 1e12;
/** Longer than any number in groups; keeps the patterns off long text. */
const longest = 40;

/**
 * The number in text[start, end); NaN for anything else, blank included. Groups of three (`1,217.64`, `1 217.64`,
 * `1'217.64`, `1.217,64`) are read where they cannot be mistaken for decimals: a lone `1,217` only in a file that is
 * known to write thousands so.
 */
export function readNumber(text: string, start: number, end: number, style: NumberStyle): number {
  const plain = readDecimal(text, start, end, style.mark);
  if (!Number.isNaN(plain) || end - start > longest || start >= end) return plain;
  const field = text.slice(start, end);
  const match = (style.mark === comma ? groupedComma : groupedPoint).exec(field);
  if (match === null) return Number.NaN;
  const [, blank, other, decimals] = match;
  const isPlain =
    blank !== undefined || style.thousands || decimals !== undefined || field.split(other).length > 2;
  if (!isPlain) return Number.NaN;
  const joined = field.split(blank ?? other).join('');
  return readDecimal(joined, 0, joined.length, style.mark);
}

/**
 * What one field says of the decimal mark of its file: for certain, or (`maybe`) with three digits after the mark, which
 * may then separate thousands.
 */
export function markShown(field: string): { mark: number; maybe: boolean } | null {
  const body = field.replace(/^[+\-−]/, '');
  if (body.length > longest) return null;
  if (/^\d{1,3}(,\d{3})+\.\d*$/.test(body) || /^\d{1,3}(,\d{3}){2,}$/.test(body))
    return { mark: point, maybe: false };
  if (/^\d{1,3}(\.\d{3})+,\d*$/.test(body) || /^\d{1,3}(\.\d{3}){2,}$/.test(body))
    return { mark: comma, maybe: false };
  const match = /^(\d[\d '’\u00a0\u2009\u202f]*)?([.,])(\d+)$/.exec(body);
  if (match === null) return null;
  const maybe = match[3].length === 3 && /^[1-9]\d{0,2}$/.test(match[1] ?? '');
  return { mark: match[2] === ',' ? comma : point, maybe };
}

export { comma, point };
