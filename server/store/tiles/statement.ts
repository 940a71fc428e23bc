import type { Database } from '../database.ts';

/** A statement put together with its parameters. Only numbers of parameters and fixed text enter its words. */
export class Statement {
  readonly values: unknown[] = [];

  value(value: unknown): string {
    this.values.push(value);
    return `$${this.values.length}`;
  }

  /**
   * Elements for `unnest`. The database knows how many there are only when it runs, so that one plan serves lists of every
   * length, and none is made for a short one each time.
   */
  list(elements: readonly unknown[], type: 'integer' | 'bigint' | 'text'): string {
    return `(select ${this.value(elements)}::${type}[])`;
  }
}

/** Prepared once a connection, so that a small tile costs one journey. */
export function run<Row extends readonly unknown[]>(
  { sql }: Database,
  text: string,
  { values }: Statement,
): Promise<Row[]> {
  return sql.unsafe(text, values as never, { prepare: true }).values() as unknown as Promise<Row[]>;
}
