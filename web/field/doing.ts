import type { CoverCard } from '#shared/cover.ts';

/** What a crew does at a cover, for one line of its list; `metres` = null where no figure may be taken for an order. */
export interface Doing {
  word: string;
  metres: number | null;
}

const without = {
  unsurveyed: 'No grade yet',
  remeasure: 'Measure first',
  review: 'Look first',
  rebuild: 'Rebuild',
  leave: 'Leave',
} as const;

/** null for a cover that was not planned. */
export function doingOf({ plan }: Pick<CoverCard, 'plan'>): Doing | null {
  if (!plan) return null;
  const { status, rimErrorM } = plan;
  if (status !== 'raise' && status !== 'lower') return { word: without[status], metres: null };
  if (rimErrorM === null) return { word: status === 'raise' ? 'Raise' : 'Lower', metres: null };
  if (status === 'lower' && rimErrorM < 0) return { word: 'Lower, then raise', metres: rimErrorM };
  return { word: rimErrorM < 0 ? 'Raise' : 'Lower', metres: rimErrorM };
}
