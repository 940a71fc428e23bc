/** Nearest places in a plane, by a k-d tree: any distribution, a far outlier included, costs no more than another. */
export class NearestPlaces {
  readonly #x: Float64Array;
  readonly #y: Float64Array;
  /** Indices of the places; the middle of every range splits it by x and y in turn. */
  readonly #order: Uint32Array;

  constructor(x: Float64Array, y: Float64Array) {
    this.#x = x;
    this.#y = y;
    this.#order = Uint32Array.from(x, (_, index) => index);
    this.#arrange(0, x.length - 1, 0);
  }

  /** Indices of the `count` places nearest to a place that `accept` allows, nearest first; fewer where there are none. */
  nearest(x: number, y: number, count: number, accept: (index: number) => boolean): number[] {
    const found: number[] = [];
    const squares: number[] = [];
    const visit = (left: number, right: number, axis: number): void => {
      if (left > right) return;
      const middle = (left + right) >> 1;
      const index = this.#order[middle];
      const dx = x - this.#x[index];
      const dy = y - this.#y[index];
      const square = dx * dx + dy * dy;
      if ((found.length < count || square < squares[found.length - 1]) && accept(index)) {
        let at = found.length;
        while (at > 0 && squares[at - 1] > square) at--;
        found.splice(at, 0, index);
        squares.splice(at, 0, square);
        if (found.length > count) {
          found.pop();
          squares.pop();
        }
      }
      const apart = axis === 0 ? dx : dy;
      const next = 1 - axis;
      if (apart <= 0) visit(left, middle - 1, next);
      else visit(middle + 1, right, next);
      if (found.length < count || apart * apart <= squares[found.length - 1]) {
        if (apart <= 0) visit(middle + 1, right, next);
        else visit(left, middle - 1, next);
      }
    };
    visit(0, this.#order.length - 1, 0);
    return found;
  }

  #arrange(left: number, right: number, axis: number): void {
    if (left >= right) return;
    const middle = (left + right) >> 1;
    this.#select(left, right, { middle, values: axis === 0 ? this.#x : this.#y });
    this.#arrange(left, middle - 1, 1 - axis);
    this.#arrange(middle + 1, right, 1 - axis);
  }

  /** Hoare's selection: the value that belongs at `middle` is put there, smaller ones before it. */
  #select(from: number, to: number, { middle, values }: { middle: number; values: Float64Array }): void {
    const order = this.#order;
    let [left, right] = [from, to];
    while (left < right) {
      const pivot = values[order[middle]];
      let [i, j] = [left, right];
      while (i <= j) {
        while (values[order[i]] < pivot) i++;
        while (values[order[j]] > pivot) j--;
        if (i > j) break;
        const swap = order[i];
        order[i++] = order[j];
        order[j--] = swap;
      }
      if (j < middle) left = i;
      if (i > middle) right = j;
    }
  }
}
