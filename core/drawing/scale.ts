/** Straight-line scale from a domain to pixels; works downhill too. */
export function scaleFrom(
  [low, high]: readonly [number, number],
  [from, to]: readonly [number, number],
): (value: number) => number {
  const span = high - low || 1;
  return (value) => from + ((value - low) / span) * (to - from);
}

/** Round step (1, 2 or 5 times a power of ten) that gives at most `most` parts of `span`. */
export function roundStep(span: number, most: number): number {
  const rough = span / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map((factor) => factor * power).find((step) => step >= rough * (1 - 1e-9))!;
}

/** Multiples of a round step inside [low, high]. */
export function ticksOf(low: number, high: number, most: number): number[] {
  const step = roundStep(high - low, most);
  const ticks: number[] = [];
  for (let index = Math.ceil(low / step - 1e-9); index * step <= high + step * 1e-9; index++) {
    ticks.push(index * step);
  }
  return ticks;
}

/**
 * Moves labels apart so that neighbours are at least `gap` away, keeping their order and staying inside
 * [top, bottom] where they fit. Input and result in pixels, same order.
 */
export function spreadLabels(
  wanted: number[],
  gap: number,
  [top, bottom]: readonly [number, number],
): number[] {
  const order = wanted.map((_, index) => index).sort((a, b) => wanted[a] - wanted[b]);
  const placed = order.map((index) => wanted[index]);
  for (let i = 0; i < placed.length; i++) {
    placed[i] = Math.max(placed[i], i === 0 ? top : placed[i - 1] + gap);
  }
  for (let i = placed.length - 1; i >= 0; i--) {
    placed[i] = Math.min(placed[i], i === placed.length - 1 ? bottom : placed[i + 1] - gap);
  }
  const result: number[] = new Array(wanted.length);
  order.forEach((index, i) => {
    result[index] = placed[i];
  });
  return result;
}
