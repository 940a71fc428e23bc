import { lineOf } from '#core/acceptance/straightedge.ts';
import type { StraightedgeLine, StraightedgeReading } from '#core/field/facts.ts';
import type { Units } from '../../../units.ts';
import { metresOf, wayOf } from './form.ts';

export interface EdgePlace extends Pick<StraightedgeReading, 'atM' | 'on'> {
  word: string;
}

/** How far in from the rim the casting is read, and how far beside it the mat, metres. Ours, no source. */
const inside = 0.02;
const beside = 0.05;

/**
 * Where the gap under an edge is read that lies with its middle over the cover; metres from its near end, to the
 * millimetre. Empty for an edge that does not reach the mat on both sides.
 */
export function edgePlaces(lengthM: number, rimRadiusM: number): EdgePlace[] {
  const [middle, near] = [lengthM / 2, lengthM / 2 - rimRadiusM];
  if (near - beside <= 0) return [];
  const half: EdgePlace[] = [
    { atM: 0, on: 'mat', word: 'near end' },
    { atM: (near - beside) / 2, on: 'mat', word: 'half way to the cover' },
    { atM: near - beside, on: 'mat', word: 'mat before the cover' },
    { atM: near + inside, on: 'casting', word: 'near edge of the cover' },
  ];
  const far = ['far end', 'half way to the far end', 'mat past the cover', 'far edge of the cover'];
  const other = half.map((place, index) => ({ ...place, atM: lengthM - place.atM, word: far[index] }));
  const all: EdgePlace[] = [
    ...half,
    { atM: middle, on: 'casting', word: 'middle of the cover' },
    ...other.reverse(),
  ];
  return all.map((place) => ({ ...place, atM: Math.round(place.atM * 1000) / 1000 }));
}

/** What is typed at each place of a line, by its index; a place that was not read is blank. */
export type ReadingTexts = Record<number, string>;

/** The line of what was typed; null while too little of it can be read. */
export function lineFrom(
  places: readonly EdgePlace[],
  texts: ReadingTexts,
  edge: { lengthM: number; units: Units },
): StraightedgeLine | null {
  const way = wayOf(edge.units);
  const typed = places.flatMap(({ atM, on }, index) => {
    const text = texts[index] ?? '';
    return text.trim() === '' ? [] : [{ atM, on, downM: metresOf(text, way) }];
  });
  const isRead = (one: (typeof typed)[number]): one is (typeof typed)[number] & { downM: number } =>
    one.downM !== null && one.downM >= 0;
  if (!typed.every(isRead)) return null;
  return lineOf(typed, edge.lengthM);
}
