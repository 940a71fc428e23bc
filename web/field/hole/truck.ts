import type { RingFact } from '#core/field/facts.ts';
import { readKept, writeKept } from './kept.ts';
import type { Hole } from './types.ts';

/** How many of each ring are on the truck; null: not counted, every ring of the catalogue is taken to be there. */
export type Truck = Record<string, number> | null;

const keyOf = ({ project, card }: Pick<Hole, 'project' | 'card'>) =>
  `${project.id}:${card.night ?? ''}:truck`;

export const readTruck = (hole: Pick<Hole, 'project' | 'card'>): Truck => readKept<Truck>(keyOf(hole), null);

export const writeTruck = (hole: Pick<Hole, 'project' | 'card'>, truck: Truck): void =>
  writeKept(keyOf(hole), truck);

/** The truck after rings went into a hole (`by` -1) or came back (+1); never fewer than none. */
export function changeTruck(truck: Truck, stack: readonly RingFact[], by: -1 | 1): Truck {
  if (truck === null) return null;
  const after = { ...truck };
  for (const { ring } of stack) if (ring in after) after[ring] = Math.max(0, after[ring] + by);
  return after;
}

export const truckFact = (truck: Truck): { ring: string; count: number }[] | null =>
  truck === null ? null : Object.entries(truck).map(([ring, count]) => ({ ring, count }));

/** Rings of a stack that the truck does not have enough of. */
export function missingOn(truck: Truck, stack: readonly RingFact[]): string[] {
  if (truck === null) return [];
  const need = new Map<string, number>();
  for (const { ring } of stack) need.set(ring, (need.get(ring) ?? 0) + 1);
  return [...need].filter(([ring, count]) => count > (truck[ring] ?? 0)).map(([ring]) => ring);
}
