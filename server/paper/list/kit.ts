import { sayAmounts, sealAmounts } from '#core/seal/kit.ts';
import type { SealCount } from '#core/seal/sealPlan.ts';
import type { Limits } from '#shared/policy.ts';
import { sealSizes } from '#shared/sealant-limits.ts';
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

/** Sealant for all stacks that may be built as they are printed, a line a form: the night is one job. */
export function sealantLines(covers: readonly SheetCover[], limits: Limits): string[] {
  const sum: SealCount = { bead: 0, rope: 0, thickRope: 0 };
  for (const cover of covers) {
    if (!cover.seal.counted || cover.seal.warning || stackToBuild(cover) === null) continue;
    for (const [form, count] of Object.entries(cover.seal.counted)) sum[form as keyof SealCount] += count;
  }
  return sayAmounts(sealAmounts(sum, sealSizes(limits)));
}
