import type { Problem } from '../problem.ts';
import { comma, readDecimal } from '../units/decimal.ts';
import type { RegisterColumn, RegisterColumns } from './columns.ts';
import { saysNone } from './noElevation.ts';

/** What a number may be, and the rule said when it is not. */
export interface Range {
  allows: (value: number) => boolean;
  rule: string;
}

export const anyNumber: Range = {
  allows: (value) => Math.abs(value) <= 1e12,
  rule: 'is too large for a place or an elevation',
};
export const aboveZero: Range = {
  allows: (value) => value > 0 && value <= 1e6,
  rule: 'must be above 0 and no more than a million; leave it blank where it is not known',
};
export const notNegative: Range = { allows: (value) => value >= 0, rule: 'must not be negative' };
/** Alignments that turn past north are written either way round, so a full turn more or less is no fault. */
export const bearing: Range = {
  allows: (value) => value >= -360 && value <= 720,
  rule: 'a bearing is in degrees, clockwise from grid north, -360 to 720 at most',
};
export const latitude: Range = {
  allows: (value) => Math.abs(value) <= 90,
  rule: 'a latitude is -90 to 90 degrees',
};
export const longitude: Range = {
  allows: (value) => Math.abs(value) <= 180,
  rule: 'a longitude is -180 to 180 degrees',
};
export const gradient: Range = {
  allows: (value) => Math.abs(value) < 1,
  rule: 'a gradient is rise over run, e.g. 0.02 for 2 %, and less than 1',
};

/** The cells of one row by column; the first fault found in the row is kept in `fault`, the others in its words. */
export class Cells {
  readonly #fields: readonly string[];
  readonly #columns: RegisterColumns;
  readonly #row: number;
  readonly #decimalComma: boolean;
  readonly #faulty = new Set<RegisterColumn>();
  fault: Problem | null = null;

  constructor(fields: readonly string[], columns: RegisterColumns, row: number, decimalComma: boolean) {
    this.#fields = fields;
    this.#columns = columns;
    this.#row = row;
    this.#decimalComma = decimalComma;
  }

  /** Text without blanks at its ends; null where the cell or the column is absent. */
  text(column: RegisterColumn): string | null {
    const place = this.#columns.at.get(column);
    const text = place === undefined ? '' : (this.#fields[place.index] ?? '').trim();
    return text === '' ? null : text;
  }

  /** Metres for a length, degrees or a ratio as written; null where blank. */
  number(column: RegisterColumn, range: Range = anyNumber): number | null {
    const text = this.text(column);
    if (text === null) return null;
    let value = readDecimal(text);
    if (Number.isNaN(value) && this.#decimalComma) value = readDecimal(text, 0, text.length, comma);
    if (Number.isNaN(value)) return this.refuse('notANumber', column, 'not a number');
    if (!range.allows(value)) return this.refuse('range', column, range.rule);
    return value * this.#columns.at.get(column)!.metres;
  }

  /** An elevation in metres; words such as `n/a` are as blank as a blank. */
  elevation(column: RegisterColumn): number | null {
    const text = this.text(column);
    return text === null || saysNone(text) ? null : this.number(column);
  }

  /** yes/no, true/false, 1/0; null where blank: unknown is not no. */
  flag(column: RegisterColumn): boolean | null {
    const text = this.text(column)?.toLowerCase() ?? null;
    if (text === null) return null;
    if (['yes', 'y', 'true', '1'].includes(text)) return true;
    if (['no', 'n', 'false', '0'].includes(text)) return false;
    return this.refuse('choice', column, 'must be yes, no or blank');
  }

  /** What follows from a fault that was told of the same cell is not told again. */
  refuse(code: string, column: RegisterColumn, message: string): null {
    if (this.#faulty.has(column)) return null;
    this.#faulty.add(column);
    const heading = this.#columns.at.get(column)?.heading ?? column;
    const value = this.text(column) ?? '';
    if (this.fault === null) this.fault = { code, row: this.#row, column: heading, value, message };
    else this.fault.message += `; also ${heading} "${value}": ${message}`;
    return null;
  }
}
