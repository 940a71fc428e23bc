import type { Histogram } from '#shared/plots.ts';

/** One bar: covers with a value of at least `fromM` and below `toM`, metres. */
export interface Bar {
  fromM: number;
  toM: number;
  covers: number;
}

export interface Bars {
  bars: Bar[];
  /** Covers below and above what the bars show. */
  below: number;
  above: number;
}

const rounding = 1e-9;

/** So few bars that each can be told from the next: neighbours of a histogram joined by twos, fours, and so on. */
export function joinBins({ bins, below, above, binM }: Histogram, most: number): Bars {
  let times = 1;
  while (bins.length / times > most) times *= 2;
  const bars: Bar[] = [];
  for (const { fromM, covers } of bins) {
    // Edges lie on multiples of the joined width, whatever the least value is.
    const first = Math.floor((fromM / binM + rounding) / times) * times * binM;
    const last = bars.at(-1);
    if (last && Math.abs(last.fromM - first) < rounding) last.covers += covers;
    else bars.push({ fromM: first, toM: first + times * binM, covers });
  }
  return { bars, below, above };
}

/** Bars up to a value; the rest is counted beyond them. */
export function cutAbove({ bars, below, above }: Bars, limitM: number): Bars {
  const kept = bars.filter(({ fromM }) => fromM < limitM - rounding);
  const beyond = bars.slice(kept.length).reduce((sum, { covers }) => sum + covers, 0);
  return { bars: kept, below, above: above + beyond };
}

/** Bars from 0 on, blank ones where no cover is, so that every picture of rim errors begins at the finished grade. */
export function fromZero({ bars, ...rest }: Bars, binM: number): Bars {
  const first = bars[0]?.fromM ?? 0;
  const blank = Math.max(0, Math.round(first / binM));
  const before = Array.from({ length: blank }, (_, index) => ({
    fromM: index * binM,
    toM: (index + 1) * binM,
    covers: 0,
  }));
  return { bars: [...before, ...bars], ...rest };
}

export const countOf = ({ bars, below, above }: Bars): number =>
  bars.reduce((sum, { covers }) => sum + covers, below + above);

/** Covers whose value lies below a limit that is an edge of a bar, or within it by halves of the bar it cuts. */
export function countBelow({ bars, below }: Bars, limitM: number): number {
  return bars
    .filter(({ fromM, toM }) => (fromM + toM) / 2 < limitM)
    .reduce((sum, { covers }) => sum + covers, below);
}
