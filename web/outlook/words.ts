import type { OverlayPage } from '#shared/outlook.ts';
import type { LimitSource } from '#shared/policy.ts';
import { nominal, type Units } from '../units.ts';
import type { OverlayView } from '../url.ts';

const number = (count: number) => count.toLocaleString('en');

export const coversWords = (count: number) => (count === 1 ? '1 cover' : `${number(count)} covers`);

/** Which covers are asked about: `on Alder Street and Weir Parkway, inside the area drawn`. */
export function whereWords(
  { streets, area, isRegister }: Pick<OverlayView, 'streets' | 'area' | 'isRegister'>,
  projectName: string,
): string {
  const along =
    streets.length === 0
      ? null
      : streets.length <= 3
        ? `on ${new Intl.ListFormat('en', { type: 'conjunction' }).format(streets)}`
        : `on ${streets.length} streets`;
  const inside = area.length >= 3 ? 'inside the area drawn' : null;
  const where = [along, inside].filter(Boolean).join(', ');
  const among = isRegister ? 'of the whole register' : `of ${projectName}`;
  return where || among;
}

/** `2 in after milling 1 1/2 in`, `50 mm with nothing milled`. */
export function overlayWords(
  { thicknessM, millM }: Pick<OverlayPage['overlay'], 'thicknessM' | 'millM'>,
  units: Units,
): string {
  const mill = millM > 0 ? `after milling ${nominal(millM, units)}` : 'with nothing milled';
  return `${nominal(thicknessM, units)} ${mill}`;
}

/** The finding: counts first. */
export function findingWords(
  { total, counts, overlay }: Pick<OverlayPage, 'total' | 'counts' | 'overlay'>,
  where: string,
  units: Units,
): string {
  if (total === 0) return `There are no covers ${where}.`;
  const rest = [
    counts.no > 0 ? `${number(counts.no)} cannot` : '',
    counts.unknown > 0
      ? counts.unknown === 1
        ? '1 is not known'
        : `${number(counts.unknown)} are not known`
      : '',
  ].filter(Boolean);
  const all = total === 1 ? 'The 1 cover' : `All ${coversWords(total)}`;
  const taken = counts.yes === total ? all : `${number(counts.yes)} of ${coversWords(total)}`;
  const tail = rest.length > 0 ? `; ${rest.join(', ')}` : '';
  return `${taken} ${where} can take ${overlayWords(overlay, units)}${tail}.`;
}

const reasonWords: Record<string, (count: string) => string> = {
  chimneyLimit: (count) => `${count} past the chimney limit`,
  chimneyUnsound: (count) => `${count} with an unsound seat or chimney`,
  millStrikes: (count) => `${count} that the mill strikes`,
  notLocated: (count) => `${count} not found`,
  frameUnsound: (count) => `${count} with an unsound frame`,
  telescoping: (count) => `${count} with a screw or slide top`,
  noSeat: (count) => `${count} with no seat measured`,
  noRim: (count) => `${count} with no rim measured`,
  belowSeat: (count) => `${count} whose rim, seat and frame contradict each other`,
};

/** Why the others cannot, most first; blank where all can. */
export function reasonsWords(reasons: OverlayPage['reasons']): string {
  const parts = Object.entries(reasons)
    .filter(([code, count]) => code !== 'fits' && count > 0)
    .sort((a, b) => b[1] - a[1])
    .map(([code, count]) => (reasonWords[code] ?? ((text: string) => `${text} ${code}`))(number(count)));
  return parts.length === 0 ? '' : `Why not: ${parts.join(', ')}.`;
}

const sources: Record<LimitSource | 'asked', string> = {
  asked: 'as asked',
  project: "the project's",
  agency: "the agency's",
  catalogue: "the ring catalogue's",
  default: 'default',
};

/** `Chimneys are held to 14 in, the ring catalogue's.` */
export const limitWords = ({ valueM, from }: { valueM: number; from: keyof typeof sources }, units: Units) =>
  `Chimneys are held to ${nominal(valueM, units)}, ${sources[from]}.`;
