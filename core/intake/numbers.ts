/**
 * Numbers parted by white space, put into `into` (emptied first). Returns the first word that is no decimal number,
 * or null. `0x10` and `Infinity` are words here, though Number() takes them.
 */
export function readNumbers(text: string, into: number[]): string | null {
  into.length = 0;
  const end = text.length;
  let i = 0;
  for (;;) {
    while (i < end && text.charCodeAt(i) <= 32) i++;
    if (i >= end) return null;
    const start = i;
    while (i < end && text.charCodeAt(i) > 32) i++;
    const word = text.slice(start, i);
    const value = readNumber(word);
    if (value === null) return word;
    into.push(value);
  }
}

/** A decimal number with nothing round it, or null. */
export function readNumber(word: string): number | null {
  const value = Number(word);
  if (!Number.isFinite(value) || word === '') return null;
  const first = word.charCodeAt(0);
  const last = word.charCodeAt(word.length - 1);
  // A radix prefix is the only way that a letter other than e stands in second place.
  const second = word.charCodeAt(1) | 32;
  if (first <= 32 || last <= 32 || second === 120 || second === 98 || second === 111) return null;
  return value;
}
