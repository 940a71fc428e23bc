import type { Problem } from '../../problem.ts';
import { delimiters, FieldSplitter } from '../../survey/fields.ts';
import { counted } from '../../units/count.ts';
import type { RawFeature } from '../types.ts';
import type { Dialect } from './dialect.ts';

/** A table with more columns than this is no register. */
export const mostColumns = 1024;
/** A quoted field may run over this many lines, within this many characters. */
const mostJoinedLines = 20;
const mostJoined = 20_000;

/**
 * Puts the lines of a table together into records. A quoted field that runs over a line end is followed only as far as
 * the record then has as many fields as there are headings: a lone inch mark joins nothing.
 */
export class TableRows {
  readonly #fields = new FieldSplitter('', mostColumns);
  readonly #columns: number;
  readonly #refuse: (problem: Problem) => void;
  /** Lines of a record whose quoted field is still open. */
  #open: { text: string; row: number; lines: { line: string; row: number }[] } | null = null;

  constructor(columns: number, dialect: Dialect, refuse: (problem: Problem) => void) {
    this.#columns = columns;
    this.#refuse = refuse;
    this.#fields.delimiter = dialect.delimiter;
  }

  /** Takes one line; the records that it completes. */
  read(line: string, row: number): RawFeature[] {
    if (this.#open !== null) return this.#goOn(line, row);
    if (this.#opensQuote(line)) {
      this.#open = { text: line, row, lines: [{ line, row }] };
      return [];
    }
    return this.#record(line, row);
  }

  /** Records left when the file ends. */
  end(): RawFeature[] {
    return this.#open === null ? [] : this.#giveUp();
  }

  #goOn(line: string, row: number): RawFeature[] {
    const open = this.#open!;
    open.text = `${open.text}\n${line}`;
    open.lines.push({ line, row });
    const isFull = open.lines.length > mostJoinedLines || open.text.length > mostJoined;
    if (!line.includes('"')) return isFull ? this.#giveUp() : [];
    const isOpen = this.#opensQuote(open.text);
    if (!isOpen && this.#fields.count === this.#columns) {
      const { text, row: first } = open;
      this.#open = null;
      return this.#record(text, first);
    }
    return isFull ? this.#giveUp() : [];
  }

  /** The quote was an inch mark: every line is a record of its own. */
  #giveUp(): RawFeature[] {
    const { lines } = this.#open!;
    this.#open = null;
    return lines.flatMap(({ line, row }) => this.#record(line, row));
  }

  /** Whether the last field of a line starts with a quote that nothing closes. */
  #opensQuote(line: string): boolean {
    const at = line.lastIndexOf('"');
    if (at < 0) return false;
    this.#fields.text = line;
    this.#fields.split(0, line.length);
    if (this.#fields.count > this.#columns) return false;
    const kept = Math.min(this.#fields.count, mostColumns);
    const start = this.#fields.starts[kept - 1];
    return line.charCodeAt(start) === 34 && !this.#fields.isQuoted(kept - 1);
  }

  #record(text: string, row: number): RawFeature[] {
    const fields = this.#fields;
    fields.text = text;
    fields.split(0, text.length);
    if (fields.count === 0 || (fields.count === 1 && fields.isBlank(0))) return [];
    const extra = this.#extraField();
    if (extra) {
      const comma = fields.delimiter === delimiters.comma ? '; a text with a comma needs quotes' : '';
      const message = `${counted(fields.count, 'field')} where the heading line has ${this.#columns}${comma}`;
      const value = text.slice(0, 100);
      this.#refuse({ code: 'fieldCount', row, column: null, value, message });
      return [];
    }
    const values = Array.from({ length: this.#columns }, (_, index) => {
      const value = fields.field(index);
      return value === '' ? null : value;
    });
    if (values.every((value) => value === null)) return [];
    return [{ row, geometry: null, values }];
  }

  #extraField(): boolean {
    const fields = this.#fields;
    if (fields.count > mostColumns) return true;
    for (let index = this.#columns; index < fields.count; index++) if (!fields.isBlank(index)) return true;
    return false;
  }
}
