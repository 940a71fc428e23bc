import type { Faults } from '../faults.ts';
import { DoubleColumn, IndexColumn, ownText, TextColumn } from '../growing.ts';
import { readNumbers } from '../numbers.ts';
import { inBatches, makePointSet } from '../pointSet.ts';
import type { PointSet, RawShot } from '../types.ts';
import type { XmlAttributes } from '../xmlStream.ts';
import type { PlaceStatement } from './section.ts';

/** A point may take its place from another that takes it from another; longer chains go in a circle. */
const longestChain = 10;

/** The CgPoint elements of a file, in columns. */
export class CgPoints {
  readonly #faults: Faults;
  readonly #names = new TextColumn();
  readonly #codes = new IndexColumn();
  readonly #codeTexts: string[] = [];
  readonly #codeNumbers = new Map<string, number>();
  readonly #numbers = new DoubleColumn();
  readonly #rows = new IndexColumn();
  readonly #references = new Map<number, string>();
  readonly #scratch: number[] = [];
  #byName: Map<string, number> | null = null;

  constructor(faults: Faults) {
    this.#faults = faults;
  }

  get length(): number {
    return this.#names.length;
  }

  add(attributes: XmlAttributes, text: string, row: number): void {
    const name = attributes.name ?? attributes.oID ?? '';
    const bad = readNumbers(text, this.#scratch);
    const [north, east, elevation = Number.NaN] = this.#scratch;
    const reference = attributes.pntRef?.trim();
    if (bad !== null || (this.#scratch.length < 2 && !reference)) {
      const message = `point ${name || '(no name)'}: northing, easting and, if known, elevation are wanted`;
      this.#faults.say({ code: 'point', row, column: 'CgPoint', value: bad ?? text.trim(), message });
      return;
    }
    if (this.#scratch.length < 2 && reference) this.#references.set(this.#names.length, ownText(reference));
    this.#names.push(name);
    this.#codes.push(this.#code(attributes.code || attributes.desc || ''));
    for (const value of [north, east, elevation]) this.#numbers.push(value);
    this.#rows.push(row);
  }

  /** Codes repeat: each is kept once, as far as there are not too many of them. */
  #code(code: string): number {
    const known = this.#codeNumbers.get(code);
    if (known !== undefined) return known;
    const own = ownText(code);
    const number = this.#codeTexts.push(own) - 1;
    if (this.#codeNumbers.size < 10_000) this.#codeNumbers.set(own, number);
    return number;
  }

  /** Where a statement says a place is; null where it names a point that is not there. */
  placeOf(statement: PlaceStatement): { north: number; east: number; elevation: number | null } | null {
    if (!('pointName' in statement)) return statement;
    const index = this.#find(statement.pointName, longestChain);
    return index === null ? null : this.#at(index);
  }

  #at(index: number) {
    const elevation = this.#numbers.at(3 * index + 2);
    return {
      north: this.#numbers.at(3 * index),
      east: this.#numbers.at(3 * index + 1),
      elevation: Number.isNaN(elevation) ? null : elevation,
    };
  }

  /** Index of the point with numbers of its own that a name leads to. */
  #find(name: string, hops: number): number | null {
    this.#byName ??= this.#numberNames();
    const index = this.#byName.get(name);
    if (index === undefined || hops === 0) return null;
    const next = this.#references.get(index);
    return next === undefined ? index : this.#find(next, hops - 1);
  }

  #numberNames(): Map<string, number> {
    const numbers = new Map<string, number>();
    for (let index = 0; index < this.length; index++) numbers.set(this.#names.at(index), index);
    return numbers;
  }

  /** All points as one set, after those that name others have found them. */
  pointSet(): PointSet {
    const found = new Map<number, number>();
    for (const [index, name] of this.#references) {
      const other = this.#find(name, longestChain);
      if (other !== null) found.set(index, other);
      else {
        const row = this.#rows.at(index);
        const message = `point ${this.#names.at(index)} takes its place from a point that is not there`;
        this.#faults.say({ code: 'point', row, column: 'pntRef', value: name, message });
      }
    }
    const lost = this.#references.size - found.size;
    const shotAt = (index: number): RawShot => {
      const place = this.#at(found.get(index) ?? index);
      const elevation = place.elevation ?? Number.NaN;
      return {
        row: this.#rows.at(index),
        point: this.#names.at(index),
        northing: place.north,
        easting: place.east,
        elevation,
        code: this.#codeTexts[this.#codes.at(index)],
        sigma: null,
      };
    };
    const isLost = (index: number) => this.#references.has(index) && !found.has(index);
    return makePointSet('CgPoints', this.length - lost, inBatches(this.length, shotAt, isLost));
  }
}
