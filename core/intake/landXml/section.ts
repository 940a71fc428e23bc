import type { RawPosition } from '../types.ts';
import type { XmlAttributes } from '../xmlStream.ts';

/** What to do with an element: want its text, leave it and all in it out, or go on. */
export type Wanted = 'text' | 'skip' | 'open';

/** Takes the elements inside one element of a LandXML file. Names come without their prefix. */
export interface Section {
  open(name: string, attributes: XmlAttributes, row: number): Wanted;
  /** `text` is null for an element whose text was not wanted. */
  close(name: string, text: string | null, row: number): void;
  end(): void;
}

/** A place as the file gives it, north first, or the name of a point that has it. */
export type PlaceStatement =
  | { north: number; east: number; elevation: number | null }
  | { pointName: string };

/** Places of a list of numbers, `size` numbers each: northing, easting and, of three, elevation. */
export function placesOf(numbers: readonly number[], size: 2 | 3, elevation: number | null): RawPosition[] {
  const places: RawPosition[] = [];
  for (let i = 0; i + size <= numbers.length; i += size)
    places.push([numbers[i + 1], numbers[i], size === 3 ? numbers[i + 2] : elevation]);
  return places;
}
