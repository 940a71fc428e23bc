import { stackToBuild } from '../chimney.ts';
import type { SheetCover } from '../sheet/types.ts';
import { ringWords } from '../words.ts';

/** Rings of all stacks that may be built as they are printed, by their words; most first. */
export function ringTotals(covers: readonly SheetCover[]): { words: string; count: number }[] {
  const counts = new Map<string, number>();
  for (const cover of covers) {
    if (cover.seal.warning) continue;
    for (const { ring } of stackToBuild(cover) ?? []) {
      const words = `${ringWords(ring, cover.ringCatalogue)} (${ring})`;
      counts.set(words, (counts.get(words) ?? 0) + 1);
    }
  }
  return [...counts]
    .map(([words, count]) => ({ words, count }))
    .sort((a, b) => b.count - a.count || (a.words < b.words ? -1 : 1));
}
