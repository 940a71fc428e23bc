import type { LayerColumn, RawFeature } from './types.ts';

export type CellValue = RawFeature['values'][number];

/** More columns than this are refused: the widest registers have some hundreds. */
export const mostColumns = 1000;

/** Gathers the columns of records that name their values, in the order they are first met, with what they hold. */
export class ColumnTypes {
  #types = new Map<string, LayerColumn['type'] | null>();

  get size(): number {
    return this.#types.size;
  }

  has(name: string): boolean {
    return this.#types.has(name);
  }

  look(name: string, value: CellValue): void {
    const held = this.#types.get(name);
    const type = value === null ? null : typeOf(value);
    if (held === undefined) this.#types.set(name, type);
    else if (type !== null && held !== type) this.#types.set(name, held === null ? type : 'mixed');
  }

  addFirst(name: string, type: LayerColumn['type']): void {
    this.#types = new Map([[name, type], ...this.#types]);
  }

  typeOf(name: string): LayerColumn['type'] {
    return this.#types.get(name) ?? 'text';
  }

  list(): LayerColumn[] {
    return [...this.#types].map(([name, type]) => ({ name, type: type ?? 'text' }));
  }

  /** Place of each column. */
  index(): Map<string, number> {
    return new Map([...this.#types.keys()].map((name, at) => [name, at]));
  }
}

function typeOf(value: string | number | boolean): LayerColumn['type'] {
  return typeof value === 'string' ? 'text' : typeof value === 'number' ? 'number' : 'boolean';
}

/** A parsed JSON value as a cell: nested values stay as JSON text. */
export function cellOf(value: unknown): CellValue {
  switch (typeof value) {
    case 'string':
    case 'boolean':
      return value;
    case 'number':
      return Number.isFinite(value) ? value : String(value);
    case 'undefined':
      return null;
    default:
      return value === null ? null : JSON.stringify(value);
  }
}
