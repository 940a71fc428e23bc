import type { Faults } from '../faults.ts';
import type { RawLine, RawPosition } from '../types.ts';
import type { XmlAttributes } from '../xmlStream.ts';

/** What to do with an element: want its text, leave it and all in it out, or go on. */
export type Wanted = 'text' | 'skip' | 'open';

/** Takes the elements inside one element of a LandXML file. Names come without their prefix. */
export interface Section {
  open(name: string, attributes: XmlAttributes, row: number): Wanted;
  close(name: string, text: string, row: number): void;
  end(): void;
}

/** A place as the file gives it, north first, or the name of a point that has it. */
export type PlaceStatement =
  | { north: number; east: number; elevation: number | null }
  | { pointName: string };

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

/** Places of a list of numbers, `size` numbers each: northing, easting and, of three, elevation. */
export function placesOf(numbers: readonly number[], size: 2 | 3, elevation: number | null): RawPosition[] {
  const places: RawPosition[] = [];
  for (let i = 0; i + size <= numbers.length; i += size)
    places.push([numbers[i + 1], numbers[i], size === 3 ? numbers[i + 2] : elevation]);
  return places;
}
