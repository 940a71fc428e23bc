import type { Faults } from './faults.ts';
import type { RawLine } from './types.ts';

/** Lines of a file hold at most so many places together; more would be no linework for a street. */
export const mostLinePlaces = 2_000_000;

/** Gathers lines up to what memory is meant for. */
export class LineStore {
  readonly lines: RawLine[] = [];
  readonly #faults: Faults;
  #places = 0;
  #full = false;

  constructor(faults: Faults) {
    this.#faults = faults;
  }

  add(line: RawLine): void {
    // A line costs memory beside its places too.
    this.#places += line.positions.length + 4;
    if (this.#places <= mostLinePlaces) this.lines.push(line);
    else if (!this.#full) {
      this.#full = true;
      const message = `lines hold more than ${mostLinePlaces.toLocaleString('en')} places; from here on they are not read`;
      this.#faults.say({ code: 'tooManyLines', row: line.row, message });
    }
  }
}
