import { useState } from 'preact/hooks';
import type { RoundTheClock } from '#core/field/facts.ts';
import type { Units } from '../../../units.ts';
import { readEntry, type Way } from '../keys/entry.ts';
import type { Hole, Recorder } from '../types.ts';

export interface FormProps {
  hole: Hole;
  /** Records the step and closes its form. */
  save: Recorder;
}

/** The way in which small sizes are typed in a form: the project's. */
export const wayOf = ({ smallUnit }: Units): Way => (smallUnit === 'mm' ? 'millimetres' : 'inches');

/** Metres of a text; null where it is blank or cannot be read. */
export function metresOf(text: string, way: Way, most?: number): number | null {
  const read = readEntry(text, way, 'in', most);
  return read !== null && 'metres' in read ? read.metres : null;
}

const blank: RoundTheClock<string> = ['', '', '', ''];

/** Four rim errors being typed: their texts, and their metres once all can be read. */
export function useFour(way: Way) {
  const [texts, setTexts] = useState<RoundTheClock<string>>(blank);
  const sizes = texts.map((text) => metresOf(text, way));
  const four = sizes.includes(null) ? null : (sizes as RoundTheClock<number>);
  return { texts, setTexts, four };
}
