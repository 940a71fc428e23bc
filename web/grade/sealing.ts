import { fluidOunce } from '#core/seal/sealant.ts';
import { fixed } from '#core/units/format.ts';
import { fromMetres, parseLength } from '#core/units/length.ts';
import type { Typed } from './lengths.ts';

/** Sizes of sealants as they are typed and shown, in the units that a project reads. */

type SmallUnit = 'in' | 'mm';

const rollUnit = { in: 'ft', mm: 'm' } as const;
const volumeUnit = { in: 'fl oz', mm: 'ml' } as const;
const fluidOunceMl = fluidOunce * 1e6;

export const rollUnitOf = (unit: SmallUnit) => rollUnit[unit];
export const volumeUnitOf = (unit: SmallUnit) => volumeUnit[unit];

/** At most so many decimals, without zeros at the end. */
const plain = (value: number, digits: number) => String(Number(fixed(value, digits)));

/** `12 ft`, `3.66 m`. */
export const rollText = (metres: number, unit: SmallUnit): string =>
  `${plain(fromMetres(metres, rollUnit[unit]), 2)} ${rollUnit[unit]}`;

/** Length of a roll in metres: a bare number is in feet or metres. */
export function readRoll(text: string, unit: SmallUnit): Typed<number> {
  const typed = text.trim();
  const found = parseLength(/[a-z"'″′]/i.test(typed) ? typed : `${typed} ${rollUnit[unit]}`);
  if (typeof found !== 'number') return { fault: `"${typed}" is ${found.message}.` };
  return found >= 0.5 && found <= 200
    ? { value: found }
    : { fault: `A roll is ${rollText(0.5, unit)} to ${rollText(200, unit)} long.` };
}

/** `10.1 fl oz`, `310 ml`. */
export const volumeText = (ml: number, unit: SmallUnit): string =>
  `${unit === 'in' ? plain(ml / fluidOunceMl, 2) : plain(ml, 0)} ${volumeUnit[unit]}`;

/** Millilitres in one cartridge: a bare number is in US fluid ounces or millilitres. */
export function readVolume(text: string, unit: SmallUnit): Typed<number> {
  const [, figure, written] = /^(\d+(?:\.\d+)?)\s*(fl\.? ?oz\.?|ml)?$/i.exec(text.trim()) ?? [];
  if (!figure) return { fault: `"${text.trim()}" is no volume; write 10.1 fl oz or 310 ml.` };
  const isOunces = written ? /oz/i.test(written) : unit === 'in';
  const value = Number(figure) * (isOunces ? fluidOunceMl : 1);
  return value >= 10 && value <= 5000
    ? { value }
    : { fault: `A cartridge holds ${volumeText(10, unit)} to ${volumeText(5000, unit)}.` };
}

/** `5 %`. */
export const shareText = (share: number): string => `${plain(share * 100, 1)} %`;

export function readShare(text: string): Typed<number> {
  const figure = /^(\d+(?:\.\d+)?)\s*%?$/.exec(text.trim())?.[1];
  const percent = figure === undefined ? Number.NaN : Number(figure);
  return percent <= 100
    ? { value: percent / 100 }
    : { fault: `"${text.trim()}" is no share; write 0 to 100, in percent.` };
}

/** `any` or a whole number up to 20. */
export function readSplices(text: string): Typed<number | 'any'> {
  const typed = text.trim();
  if (typed.toLowerCase() === 'any') return { value: 'any' };
  return /^\d+$/.test(typed) && Number(typed) <= 20
    ? { value: Number(typed) }
    : { fault: `"${typed}" is no number of joins; write 0 to 20, or any.` };
}
