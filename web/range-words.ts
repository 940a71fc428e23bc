import type { LengthRange, RangeField } from './ranges.ts';
import { nominal, nominalSize, type Units } from './units.ts';

export const rangeTitles: Record<RangeField, string> = { buildup: 'Net buildup', rim: 'Rim error' };

/** `4 to 4½ in`, `below 1 in`, `12 mm or more`. */
export function rangeWords({ from, below }: LengthRange, units: Units): string {
  if (from === null) return below === null ? 'any' : `below ${nominal(below, units)}`;
  if (below === null) return `${nominal(from, units)} or more`;
  return `${nominalSize(from, units.smallUnit)} to ${nominal(below, units)}`;
}
