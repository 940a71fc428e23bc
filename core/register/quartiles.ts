/** Least, quartiles and greatest of numbers that come as counts. */
export interface FiveNumbers {
  least: number;
  lowerQuartile: number;
  median: number;
  upperQuartile: number;
  greatest: number;
}

/**
 * Five numbers of values in rising order, each with how often it comes; null where there is none. Quartiles are those of
 * linear interpolation between order statistics (Hyndman and Fan 1996, definition 7, which spreadsheets have too).
 */
export function fiveNumbers(counted: readonly { value: number; count: number }[]): FiveNumbers | null {
  const total = counted.reduce((sum, { count }) => sum + count, 0);
  if (total === 0) return null;
  const at = (index: number): number => {
    let before = 0;
    for (const { value, count } of counted) {
      before += count;
      if (index < before) return value;
    }
    throw new RangeError(`No value ${index} among ${total}`);
  };
  const quantile = (share: number): number => {
    const place = share * (total - 1);
    const below = Math.floor(place);
    const value = at(below);
    return place === below ? value : value + (place - below) * (at(below + 1) - value);
  };
  return {
    least: at(0),
    lowerQuartile: quantile(0.25),
    median: quantile(0.5),
    upperQuartile: quantile(0.75),
    greatest: at(total - 1),
  };
}
