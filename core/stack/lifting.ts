import { kilogramsPerPound } from '../units/mass.ts';

/** Kilograms; null or absent where nobody knows it. */
export interface Weighed {
  id: string;
  massKg?: number | null;
}

export const liftingWords = 'two persons or a lifting device';

/** A mass at the very limit is lifted by one, whatever became of the figure on its way. */
const rounding = 1e-6;

/** Mass of a ring that one person alone does not lift; null where it is lighter or not known: then nothing is said. */
export function heavyMass(
  ring: string,
  rings: readonly Weighed[] | undefined,
  twoPersonsKg: number,
): number | null {
  const mass = rings?.find(({ id }) => id === ring)?.massKg ?? null;
  return mass !== null && mass > twoPersonsKg + rounding ? mass : null;
}

/** Rings of a stack, bottom-up, that take two persons, each size once: its places from 1 and its mass. */
export function heavyRings(
  stack: readonly { ring: string }[],
  rings: readonly Weighed[] | undefined,
  twoPersonsKg: number,
): { ring: string; places: number[]; massKg: number }[] {
  const found = new Map<string, { ring: string; places: number[]; massKg: number }>();
  for (const [index, { ring }] of stack.entries()) {
    const massKg = heavyMass(ring, rings, twoPersonsKg);
    if (massKg === null) continue;
    const one = found.get(ring) ?? { ring, places: [], massKg };
    one.places.push(index + 1);
    found.set(ring, one);
  }
  return [...found.values()];
}

/** `23 kg (50 lb)`: pounds cut off, so that the limit is not made greater. */
export const liftLimitText = (kilograms: number): string =>
  `${Number(kilograms.toFixed(1))} kg (${Math.floor(kilograms / kilogramsPerPound)} lb)`;
