import { parseLength } from '#core/units/length.ts';
import { nominal, type Units } from '../units.ts';

/** What was typed, in metres, or what is wrong with it. */
export type Typed<Value> = { value: Value } | { fault: string };

/**
 * A size typed into a field that names the project's unit: a bare number is in that unit, another unit may be written.
 * `1 1/2`, `1.5`, `40 mm`; blank and `0` are nothing.
 */
export function readSize(text: string, { smallUnit }: Units): Typed<number> {
  const plain = text.trim();
  if (plain === '') return { value: 0 };
  const found = parseLength(/[a-z"'″′]/i.test(plain) ? plain : `${plain} ${smallUnit}`);
  if (typeof found === 'number')
    return found < 0 ? { fault: `"${plain}" is below nothing.` } : { value: found };
  return { fault: `"${plain}" is ${found.message}.` };
}

/** Sizes with commas or semicolons between them, bottom lift first; blank is none. A lift of nothing is a fault. */
export function readSizes(text: string, units: Units): Typed<number[]> {
  const parts = text
    .split(/[,;]/)
    .map((part) => part.trim())
    .filter(Boolean);
  const sizes: number[] = [];
  for (const part of parts) {
    const size = readSize(part, units);
    if ('fault' in size) return size;
    if (size.value === 0) return { fault: 'A lift has a thickness; leave it out if it is not laid.' };
    sizes.push(size.value);
  }
  return { value: sizes };
}

const vulgar: readonly (readonly [string, string])[] = [
  ['¼', '1/4'],
  ['½', '1/2'],
  ['¾', '3/4'],
];

/** A size as a field shows it, with its unit: `1 1/2 in`, `40 mm`. What is shown reads back as it was. */
export function sizeText(metres: number, units: Units): string {
  const shown = vulgar.reduce(
    (text, [sign, plain]) => text.replace(sign, ` ${plain}`),
    nominal(metres, units),
  );
  return shown.trim();
}

export const sizesText = (sizes: readonly number[], units: Units) =>
  sizes.map((size) => sizeText(size, units)).join(', ');
