import { readNumber } from '../numbers.ts';

/** Group codes of numbers below this are kept in a table of their own. */
const tableSize = 80;

/** One entity while its pairs come in; used again for the next. */
export class Entity {
  type = '';
  row = 0;
  layer = '0';
  handle = '';
  paperSpace = false;
  /** Last value of each number code under 80, NaN where none came: 10 x, 20 y, 30 z, 11 x of the second place ... */
  readonly #numbers = new Float64Array(tableSize);
  /** Vertices of a light polyline: x, y, bulge. */
  readonly vertices: number[] = [];
  normal: [number, number, number] = [0, 0, 1];
  /** A number that could not be read. */
  bad: { code: number; value: string; row: number } | null = null;

  begin(type: string, row: number): void {
    this.type = type;
    this.row = row;
    this.layer = '0';
    this.handle = '';
    this.paperSpace = false;
    this.#numbers.fill(Number.NaN);
    this.vertices.length = 0;
    this.normal = [0, 0, 1];
    this.bad = null;
  }

  number(code: number): number {
    return this.#numbers[code];
  }

  /** An integer code with its default. */
  flags(code: number): number {
    const value = this.#numbers[code];
    return Number.isNaN(value) ? 0 : value;
  }

  take(code: number, text: string, row: number): void {
    if (code === 8) this.layer = text.trim();
    else if (code === 5) this.handle = text.trim();
    else if (isNumber(code)) {
      const value = readNumber(text.trim());
      if (value === null) this.bad ??= { code, value: text.trim(), row };
      else this.#number(code, value);
    }
  }

  #number(code: number, value: number): void {
    if (code === 67) this.paperSpace = value === 1;
    else if (code >= 210) this.normal[(code - 210) / 10] = value;
    else {
      if (this.type === 'LWPOLYLINE') this.#vertex(code, value);
      this.#numbers[code] = value;
    }
  }

  #vertex(code: number, value: number): void {
    const { vertices } = this;
    if (code === 10) vertices.push(value, Number.NaN, 0);
    else if (code === 20 && vertices.length > 0) vertices[vertices.length - 2] = value;
    else if (code === 42 && vertices.length > 0) vertices[vertices.length - 1] = value;
  }
}

/** Codes of places, sizes, angles and flags; the rest is text or of no use here. */
function isNumber(code: number): boolean {
  return (
    (code >= 10 && code < 52) ||
    code === 67 ||
    (code >= 70 && code < 75) ||
    code === 210 ||
    code === 220 ||
    code === 230
  );
}
