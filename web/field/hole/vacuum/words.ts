import type { Facts } from '#core/field/facts.ts';

export const headWords: Record<Facts['vacuum']['headAt'], string> = {
  frame: 'Head on the frame',
  topRing: 'Head on the top ring',
  seat: 'Head on the seat',
};

export const outcomeWords: Record<Facts['vacuum']['outcome'], string> = {
  passed: 'Passed',
  failed: 'Failed',
  notTested: 'NOT TESTED',
};
