import type { LimitSource } from '#shared/policy.ts';

/** Whose a limit is. */
export const sourceWords: Readonly<Record<LimitSource, string>> = {
  default: 'default',
  agency: "the agency's",
  project: "the project's",
  catalogue: "the ring catalogue's",
};
