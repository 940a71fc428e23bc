import type { DatedRim } from './history.ts';

/** How fast a rim moves against the pavement beside it: metres a year, + = it rises against it. */
export interface Settlement {
  /** Records with both rim and pavement. */
  epochs: number;
  trend: { rate: number; sigma: number } | null;
  /** Why there is no trend. */
  why: 'fewEpochs' | 'oneDay' | null;
}

/** Fewer leave no residual to tell the error of the rate from. */
export const leastEpochs = 3;

const daysPerYear = 365.25;

/**
 * Trend of rim less pavement, which a common error of the benchmark drops out of. Both sinking together is no trend.
 * Records from before the rim was last moved are the caller's to leave out.
 */
export function settlementOf(records: readonly DatedRim[]): Settlement {
  const points = records.flatMap(({ date, rim, pavement }) =>
    pavement === null
      ? []
      : [{ x: Date.parse(`${date}T00:00:00Z`) / 86_400_000 / daysPerYear, y: rim - pavement }],
  );
  const epochs = points.length;
  if (epochs < leastEpochs) return { epochs, trend: null, why: 'fewEpochs' };
  const line = fitSlope(points);
  if (!line) return { epochs, trend: null, why: 'oneDay' };
  return { epochs, trend: { rate: line.slope, sigma: line.sigma }, why: null };
}

/**
 * Slope of the line of least squares through at least three points, with its standard error from the residuals (n - 2
 * degrees of freedom; Draper and Smith, Applied Regression Analysis, 3rd edition, section 1.4, from memory). null where
 * all points have one x.
 */
export function fitSlope(
  points: readonly { x: number; y: number }[],
): { slope: number; sigma: number } | null {
  const count = points.length;
  const meanX = points.reduce((sum, { x }) => sum + x, 0) / count;
  const meanY = points.reduce((sum, { y }) => sum + y, 0) / count;
  let xx = 0;
  let xy = 0;
  for (const { x, y } of points) {
    xx += (x - meanX) ** 2;
    xy += (x - meanX) * (y - meanY);
  }
  if (xx === 0) return null;
  const slope = xy / xx;
  const squares = points.reduce((sum, { x, y }) => sum + (y - meanY - slope * (x - meanX)) ** 2, 0);
  return { slope, sigma: Math.sqrt(squares / (count - 2) / xx) };
}
