/** Degrees, minutes and seconds as ISO 6709 (annex D) and crews write them, with or without their signs. */
const parts =
  /^([+\-−])?\s*(\d{1,3}(?:[.,]\d+)?)\s*(?:°|º|d|deg)?\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:'|′|’|m|min)?\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:"|″|”|''|s|sec)?)?)?$/i;
/** Longest text that is looked at. */
const longest = 40;

/**
 * Latitude or longitude in decimal degrees: `48.0004N`, `N 48°00'01.5"`, `48 00 01.5 S`, `9° 0.5' W`. null for anything
 * else: minutes or seconds of 60 and more, a fraction before a smaller unit, a letter of the other axis, two signs.
 */
export function readAngle(text: string, axis: 'lat' | 'lon'): number | null {
  const plain = text.trim();
  if (plain.length > longest) return null;
  const letters = axis === 'lat' ? 'NS' : 'EW';
  const first = plain.charAt(0).toUpperCase();
  const last = plain.charAt(plain.length - 1).toUpperCase();
  const atStart = letters.includes(first) && plain !== '';
  const atEnd = letters.includes(last) && plain !== '';
  if (atStart && atEnd) return null;
  const body = plain.slice(atStart ? 1 : 0, atEnd ? -1 : undefined).trim();
  const match = parts.exec(body);
  if (match === null) return null;
  const [, sign, ...written] = match;
  const given = written.filter((part) => part !== undefined);
  // A fraction is one of the smallest unit that is written.
  if (given.slice(0, -1).some((part) => /[.,]/.test(part))) return null;
  const [degrees, minutes = 0, seconds = 0] = given.map((part) => Number(part.replace(',', '.')));
  // A number alone is read by the rules of its file, not here.
  if (given.length === 1 && !atStart && !atEnd && !/[°ºd]/i.test(body)) return null;
  const letter = atStart ? first : atEnd ? last : '';
  if (minutes >= 60 || seconds >= 60 || (sign && letter !== '')) return null;
  const angle = degrees + minutes / 60 + seconds / 3600;
  if (angle > (axis === 'lat' ? 90 : 180)) return null;
  return sign === '-' || sign === '−' || 'SW'.includes(letter || 'N') ? -angle : angle;
}
