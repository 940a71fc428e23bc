/**
 * Weighted linear least squares by normal equations and Cholesky, for a handful of unknowns.
 * Callers centre and scale their columns: the normal matrix squares the condition number.
 */
export class NormalEquations {
  readonly size: number;
  /** Lower triangle, row by row, of the normal matrix; after `factor` of its Cholesky factor. */
  private readonly a: Float64Array;
  private readonly b: Float64Array;
  private readonly column: Float64Array;
  /** The solution after `solve`. */
  readonly x: Float64Array;
  /** Inverse of the normal matrix after `invert`: full rows, symmetric. */
  readonly inverse: Float64Array;

  constructor(size: number) {
    this.size = size;
    this.a = new Float64Array(size * size);
    this.b = new Float64Array(size);
    this.column = new Float64Array(size);
    this.x = new Float64Array(size);
    this.inverse = new Float64Array(size * size);
  }

  clear(): void {
    this.a.fill(0);
    this.b.fill(0);
  }

  /** Add one observation: row of the design matrix, observed value, weight = 1 / variance. */
  add(row: ArrayLike<number>, value: number, weight: number): void {
    const { size, a, b } = this;
    for (let i = 0; i < size; i++) {
      const wi = weight * row[i];
      b[i] += wi * value;
      for (let j = 0; j <= i; j++) a[i * size + j] += wi * row[j];
    }
  }

  /** Take sums that were made elsewhere: lower triangle of the normal matrix, row by row, and right-hand side. */
  load(lower: ArrayLike<number>, right: ArrayLike<number>): void {
    const { size, a, b } = this;
    for (let i = 0, at = 0; i < size; i++) {
      b[i] = right[i];
      for (let j = 0; j <= i; j++, at++) a[i * size + j] = lower[at];
    }
  }

  /** Add what is known of one unknown beforehand: that it is 0, with the weight 1 / variance. */
  expectZero(unknown: number, weight: number): void {
    this.a[unknown * this.size + unknown] += weight;
  }

  /** Solve; false when the observations do not determine the unknowns. */
  solve(): boolean {
    const { size, a, b, x } = this;
    for (let i = 0; i < size; i++) {
      const full = a[i * size + i];
      for (let j = 0; j <= i; j++) {
        let sum = a[i * size + j];
        for (let k = 0; k < j; k++) sum -= a[i * size + k] * a[j * size + k];
        if (i !== j) a[i * size + j] = sum / a[j * size + j];
        // What a column adds to the earlier ones, as a share of its own square, is lost in rounding below this.
        else if (!(sum > 1e-13 * full)) return false;
        else a[i * size + i] = Math.sqrt(sum);
      }
    }
    for (let i = 0; i < size; i++) {
      let sum = b[i];
      for (let k = 0; k < i; k++) sum -= a[i * size + k] * x[k];
      x[i] = sum / a[i * size + i];
    }
    this.back(x);
    return true;
  }

  /** After `solve`: the inverse of the normal matrix, that is the covariance of the unknowns. */
  invert(): void {
    const { size, a, inverse, column } = this;
    for (let c = 0; c < size; c++) {
      for (let i = 0; i < size; i++) {
        let sum = i === c ? 1 : 0;
        for (let k = c; k < i; k++) sum -= a[i * size + k] * column[k];
        column[i] = i < c ? 0 : sum / a[i * size + i];
      }
      this.back(column);
      for (let i = 0; i < size; i++) inverse[i * size + c] = column[i];
    }
  }

  private back(x: Float64Array): void {
    const { size, a } = this;
    for (let i = size - 1; i >= 0; i--) {
      let sum = x[i];
      for (let k = i + 1; k < size; k++) sum -= a[k * size + i] * x[k];
      x[i] = sum / a[i * size + i];
    }
  }

  /** row . inverse . row: the variance that the unknowns' covariance gives to the value of this row. */
  variance(row: ArrayLike<number>): number {
    const { size, inverse } = this;
    let total = 0;
    for (let i = 0; i < size; i++) {
      let sum = 0;
      for (let j = 0; j < size; j++) sum += inverse[i * size + j] * row[j];
      total += row[i] * sum;
    }
    return total;
  }
}
