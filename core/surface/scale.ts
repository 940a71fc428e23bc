/** Residuals past this many deviations count as if they stood there. */
const bound = 2;
/** Mean of min(z^2, bound^2) for a normal z. */
const meanOfBounded = 0.9205;

/**
 * Standard deviation of values (absolute, about 0) with weights, their squares bounded at two deviations, so that a few
 * wild ones cannot pull it (proposal 2 of Huber, Robust estimation of a location parameter, 1964, for the scale alone).
 * 0 when all are 0.
 */
export function pooledScale(values: readonly number[], weights: readonly number[]): number {
  const total = weights.reduce((sum, w) => sum + w, 0);
  const most = values.reduce((greatest, v) => Math.max(greatest, v), 0);
  let square = most * most;
  for (let round = 0; round < 100 && square > 0; round++) {
    const cap = bound * bound * square;
    let sum = 0;
    for (let i = 0; i < values.length; i++) sum += weights[i] * Math.min(values[i] * values[i], cap);
    const next = sum / (total * meanOfBounded);
    const settled = Math.abs(next - square) < 1e-9 * square;
    square = next;
    if (settled) break;
  }
  return Math.sqrt(square);
}

/**
 * How much larger a deviation may be than it was found, once in ten times, with so many spare observations: a handful of
 * covers shows little, and what they do not show must not be cut from. Chi-square by Wilson-Hilferty.
 */
export function upperFactor(freedom: number): number {
  const k = Math.max(2, freedom);
  const c = 2 / (9 * k);
  return Math.sqrt(1 / (1 - c - 1.2816 * Math.sqrt(c)) ** 3);
}
