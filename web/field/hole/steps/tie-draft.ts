import type { Tie } from '#core/field/facts.ts';
import { toMetres } from '#core/units/length.ts';
import { metresOf } from './form.ts';

/** One tape to something that will still be there, as it is typed: feet and inches, or metres. */
export interface TieDraft {
  to: string;
  feet: string;
  inches: string;
  metres: string;
}

export const noTie: TieDraft = { to: '', feet: '', inches: '', metres: '' };

/** Longest tape that is believed. */
const farthestTie = 200;

/** Metres of a draft; null where it is incomplete. */
export function tieOf({ to, feet, inches, metres }: TieDraft): Tie | null {
  const long = metresOf(metres, 'metres', farthestTie);
  const whole = feet.trim() === '' ? 0 : metresOf(feet, 'feet', farthestTie);
  const rest = inches.trim() === '' ? 0 : metresOf(inches, 'inches', toMetres(12, 'in'));
  const distanceM = long ?? (whole === null || rest === null ? 0 : whole + rest);
  return to.trim() === '' || !(distanceM > 0) || distanceM > farthestTie
    ? null
    : { to: to.trim(), distanceM };
}

/** Blank rows are nothing; half-filled ones are not ready. */
export const isBlank = (tie: TieDraft) => Object.values(tie).every((text) => text.trim() === '');

export function readTies(drafts: readonly TieDraft[]): Tie[] | null {
  const ties = drafts.filter((draft) => !isBlank(draft)).map(tieOf);
  return ties.includes(null) ? null : (ties as Tie[]);
}
