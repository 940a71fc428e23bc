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
