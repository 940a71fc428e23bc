/** Distinct values beyond this are only counted together. */
const mostDistinct = 64;

/** Counts the values of a column that may stand for "unknown": zeros and marks such as -9999. */
export class ValueCounts {
  count = 0;
  #zeros = 0;
  #negative = 0;
  readonly #byValue = new Map<number, number>();

  add(value: number): void {
    this.count++;
    if (value === 0) this.#zeros++;
    else if (value < 0) this.#negative++;
    const held = this.#byValue.get(value);
    if (held !== undefined) this.#byValue.set(value, held + 1);
    else if (this.#byValue.size < mostDistinct) this.#byValue.set(value, 1);
  }

  of(value: number): number {
    return this.#byValue.get(value) ?? 0;
  }

  /** Every value is the same. */
  get isFlat(): boolean {
    return this.#byValue.size === 1;
  }

  /** Mostly zeros among values that are else above zero: a size or a year of 0 is one that nobody knew. */
  zeroMeansUnknown(): string | null {
    if (this.count < 10 || this.#negative > 0 || this.#byValue.size < 4 || this.#zeros < this.count / 2)
      return null;
    return `0 in ${this.#zeros} of ${this.count} rows most likely stands for unknown; it is not taken as a size of 0`;
  }
}

const marks = [-99, -999, -9999, -99999, -999999, -32768];

/** What makes the third ordinate of a layer no elevation; null where it may be one. */
export function unusableZ(counts: ValueCounts): string | null {
  const found = marks.filter((mark) => counts.of(mark) > 0);
  const marked = found.reduce((sum, mark) => sum + counts.of(mark), 0);
  const zeros = counts.of(0);
  if (counts.count === 0 || marked === 0) return null;
  const rest = counts.count - marked - zeros;
  const said = found.map((mark) => `${counts.of(mark)} are ${mark}`).join(', ');
  return `the third ordinate is no elevation: of ${counts.count} points ${said}, ${zeros} are 0 and ${rest} are anything else; use a column of elevations`;
}
