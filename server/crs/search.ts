import { crsRegister, type RegisterEntry } from './register.ts';

/**
 * Projected systems by code or by words of their name or area: every word must be found. Names that hold all the words
 * come first, shorter ones before longer.
 */
export function searchCrs(query: string, most = 20): RegisterEntry[] {
  const words = wordsOf(query.slice(0, 200));
  if (words.length === 0) return [];
  const found: { entry: RegisterEntry; rank: number }[] = [];
  for (const entry of crsRegister().entries) {
    const rank = entry.projected ? rankOf(entry, words) : null;
    if (rank !== null) found.push({ entry, rank });
  }
  found.sort(
    (a, b) => a.rank - b.rank || a.entry.name.length - b.entry.name.length || a.entry.code - b.entry.code,
  );
  return found.slice(0, most).map(({ entry }) => entry);
}

/** Lower is better; null where a word is missing. */
function rankOf(entry: RegisterEntry, words: readonly string[]): number | null {
  const name = wordsOf(entry.name);
  const all = [...name, ...wordsOf(entry.area), ...wordsOf(entry.unitName), String(entry.code)];
  let rank = words.length === 1 && words[0] === String(entry.code) ? -1 : 0;
  for (const word of words) {
    if (name.includes(word) || word === String(entry.code)) continue;
    if (name.some((held) => held.startsWith(word))) rank += 1;
    else if (all.some((held) => held.startsWith(word))) rank += 4;
    else return null;
  }
  return rank;
}

function wordsOf(text: string): string[] {
  return text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/\bepsg:+/g, '')
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean);
}
