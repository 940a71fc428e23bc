import type { RingFact } from '#core/field/facts.ts';

/** What has gone in so far, ring by ring from the seat; kept on the phone until the rings are recorded. */
export interface Progress {
  /** The stack that it is of: another one begins anew. */
  of: string;
  rings: { used: RingFact | null; isIn: boolean }[];
  /** A wrong order was said to be meant: not asked again. */
  orderIsMeant: boolean;
}

export const keyOf = (stack: readonly RingFact[]): string =>
  stack
    .map(({ ring, azimuthDeg }) => `${ring}@${azimuthDeg === null ? '' : azimuthDeg.toFixed(1)}`)
    .join(' ');

export function begin(stack: readonly RingFact[]): Progress {
  return { of: keyOf(stack), rings: stack.map((used) => ({ used, isIn: false })), orderIsMeant: false };
}

/** Kept progress where it is of this stack, else a new beginning. */
export const resume = (kept: Progress | null, stack: readonly RingFact[]): Progress =>
  kept !== null && kept.of === keyOf(stack) ? kept : begin(stack);

export type Tap =
  | { progress: Progress; ask: null }
  | { progress: Progress; ask: { ring: number; before: number } };

/** Ring `index` (0 = on the seat) is tapped. In a wrong order it is asked about once, as ring numbers from 1. */
export function tapRing(progress: Progress, index: number, isMeant = false): Tap {
  const { rings } = progress;
  const before = rings.findIndex(({ used, isIn }, at) => at < index && used !== null && !isIn);
  const goesIn = !rings[index].isIn;
  if (goesIn && before >= 0 && !progress.orderIsMeant && !isMeant)
    return { progress, ask: { ring: index + 1, before: before + 1 } };
  return {
    progress: {
      ...progress,
      orderIsMeant: progress.orderIsMeant || isMeant,
      rings: rings.map((one, at) => (at === index ? { ...one, isIn: !one.isIn } : one)),
    },
    ask: null,
  };
}

/** Another ring than the one that was to be used, or null for none; one past the last adds a ring on top. */
export function useRing(progress: Progress, index: number, used: RingFact | null): Progress {
  const rings = [...progress.rings];
  rings[index] = { used, isIn: used !== null };
  return { ...progress, rings };
}

export const usedStack = ({ rings }: Progress): RingFact[] =>
  rings.flatMap(({ used }) => (used === null ? [] : [used]));

export const isAllIn = ({ rings }: Progress): boolean =>
  rings.every(({ used, isIn }) => used === null || isIn);
