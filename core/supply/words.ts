import type { LeftOutReason } from './countCover.ts';

/** Why covers are not in a takeoff, and what brings them in. */
export const leftOutWords: Readonly<Record<LeftOutReason, { short: string; sentence: string }>> = {
  unplanned: { short: 'not planned', sentence: 'Not planned yet: plan the project.' },
  unsurveyed: { short: 'unsurveyed', sentence: 'No finished grade here: shoot the surface round it.' },
  remeasure: { short: 'to measure again', sentence: 'The survey is too unsure for a ring: measure again.' },
  review: { short: 'to review', sentence: 'Somebody has to look before a stack is built.' },
  rebuild: { short: 'to rebuild', sentence: 'The chimney is built anew: its materials are ordered apart.' },
  stale: {
    short: 'plan overtaken',
    sentence: 'Its stack stands by a plan that was overtaken since: see whether it stays.',
  },
  offGrade: { short: 'off grade', sentence: 'Off grade as it stands: choose the next stack on its card.' },
  contradicted: {
    short: 'contradicted',
    sentence: 'Records of its rings contradict each other: settle which hold.',
  },
};

/** Figures of a takeoff that its finding is made of. */
export interface TakeoffFigures {
  covers: number;
  leftOut: number;
  needed: number;
  kinds: number;
  built: number;
  packs: number;
  toOrder: number;
}

const many = (count: number, one: string, several = `${one}s`): string =>
  `${count.toLocaleString('en')} ${count === 1 ? one : several}`;

/** `You need 212 rings in 14 kinds; 9 packs to order (72 rings); 3 covers are not in it.` */
export function sayTakeoff({
  covers,
  leftOut,
  needed,
  kinds,
  built,
  packs,
  toOrder,
}: TakeoffFigures): string {
  if (covers === 0) return 'No cover is asked about.';
  const rings =
    needed > 0
      ? `You need ${many(needed, 'ring')} in ${many(kinds, 'kind')}`
      : built > 0
        ? `No more rings are needed: ${many(built, 'ring')} ${built === 1 ? 'stands' : 'stand'} already`
        : 'No rings are needed';
  const missing = leftOut > 0 ? `; ${many(leftOut, 'cover')} ${leftOut === 1 ? 'is' : 'are'} not in it` : '';
  return `${rings}; ${orderWords(packs, toOrder)}${missing}.`;
}

/** `9 packs to order (72 rings)`; a pack of one is a ring. */
function orderWords(packs: number, toOrder: number): string {
  if (packs === 0) return 'nothing to order';
  if (packs === toOrder) return `${many(toOrder, 'ring')} to order`;
  return `${many(packs, 'pack')} to order (${many(toOrder, 'ring')})`;
}
