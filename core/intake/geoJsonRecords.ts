import type { Problem } from '../problem.ts';
import type { CellValue } from './columnTypes.ts';
import { geometryTypes, readGeoJsonGeometry } from './geoJsonGeometry.ts';
import { type JsonFault, JsonRecords, type JsonSink } from './jsonRecords.ts';
import { refuseFile, shorten } from './problemLog.ts';
import type { RawGeometry } from './types.ts';

export interface GeoJsonRecord {
  /** Number of the feature in the file, from 1. */
  row: number;
  parts: RawGeometry[];
  properties: Record<string, unknown>;
  id: CellValue;
}

/** A collection of geometries nests some ten brackets; nested properties a few more. */
const limits = { depth: 64, recordBytes: 16 << 20 };
const topMembers: ReadonlySet<string> = new Set([
  'type',
  'crs',
  'geometry',
  'properties',
  'id',
  'coordinates',
  'geometries',
  'features',
]);

/** Reads the features of one GeoJSON text in order. */
export class GeoJsonRecords implements JsonSink {
  /** `crs` members as JSON text, each text once. */
  readonly crsMembers: string[] = [];
  /** Why the file is refused as a whole; known when the reading has ended. */
  refusal: Problem | null = null;
  readonly #fileName: string;
  #members = new Map<string, string>();
  #batch: GeoJsonRecord[] = [];
  #row = 0;
  #collections = 0;
  #report: (problem: Problem) => void = () => {};

  constructor(fileName: string) {
    this.#fileName = fileName;
  }

  async *read(
    chunks: AsyncIterable<Uint8Array>,
    report: (problem: Problem) => void,
  ): AsyncGenerator<GeoJsonRecord[]> {
    this.#report = report;
    const scanner = new JsonRecords(this, 'features', limits);
    let fault: JsonFault | null = null;
    for await (const chunk of chunks) {
      fault = scanner.push(chunk);
      yield this.#batch;
      this.#batch = [];
      if (fault !== null) break;
    }
    fault ??= scanner.end();
    if (fault !== null) this.#fail(fault);
    else if (this.#row === 0 && this.#collections === 0)
      this.refusal = refuseFile('notGeoJson', `${this.#fileName} holds no feature, collection or geometry`);
  }

  #fail({ code, at }: JsonFault): void {
    const where = `at byte ${at + 1}`;
    const messages: Record<JsonFault['code'], string> = {
      depth: `more than ${limits.depth} brackets inside one another ${where}`,
      recordSize: `a record of more than ${limits.recordBytes >> 20} MB ${where}; split the file`,
      notJson: `not JSON ${where}`,
      truncated: `the text ends inside a record or list ${where}; the file is cut off`,
    };
    const problem = refuseFile(code, messages[code]);
    if (code === 'depth' || code === 'recordSize' || this.#row === 0) this.refusal = problem;
    else
      this.#report({
        ...problem,
        row: this.#row,
        message: `${problem.message}; what follows feature ${this.#row} is missing`,
      });
  }

  open(): void {
    this.#members.clear();
  }

  member(key: string, value: string): void {
    if (key === 'crs') {
      if (!this.crsMembers.includes(value) && this.crsMembers.length < 10) this.crsMembers.push(value);
    } else if (topMembers.has(key)) this.#members.set(key, value);
  }

  element(text: string): void {
    this.#record(text);
  }

  close(): void {
    const type = this.#members.get('type')?.trim();
    if (type === '"FeatureCollection"') {
      this.#collections++;
      if (this.#members.has('features'))
        this.#report(refuseFile('notAList', 'the features of a collection are a list'));
      return;
    }
    const members = [...this.#members].map(([key, value]) => `${JSON.stringify(key)}:${value}`);
    if (type === '"Feature"' || geometryTypes.has(String(type).slice(1, -1)))
      this.#record(`{${members.join(',')}}`);
  }

  #record(text: string): void {
    const row = ++this.#row;
    const value = this.#parse(text, row);
    if (value === undefined) return;
    if (value === null || typeof value !== 'object' || Array.isArray(value)) {
      this.#refuse(row, 'notAFeature', null, shorten(text), 'not a feature (RFC 7946, 3.2)');
      return;
    }
    const { type, geometry, properties, id } = value as Record<string, unknown>;
    const bare = typeof type === 'string' && geometryTypes.has(type);
    if (!bare && type !== 'Feature') {
      this.#refuse(
        row,
        'notAFeature',
        'type',
        shorten(String(JSON.stringify(type))),
        'not a feature (RFC 7946, 3.2)',
      );
      return;
    }
    const read = readGeoJsonGeometry(bare ? value : geometry);
    if (read.fault !== null)
      this.#refuse(row, 'geometry', 'geometry', null, `${read.fault}; the record has no place`);
    this.#batch.push({
      row,
      parts: read.parts,
      properties: isObject(properties) ? properties : {},
      id: typeof id === 'string' || typeof id === 'number' ? id : null,
    });
  }

  /** The value, or undefined after a problem. */
  #parse(text: string, row: number): unknown {
    try {
      return longIntegersAsText(JSON.parse(text), text);
    } catch {
      // Some writers put NaN, which JSON does not have.
      const mended = text.replace(/"(?:[^"\\]|\\.)*"|-?\b(?:NaN|Infinity)\b/g, (part) =>
        part[0] === '"' ? part : 'null',
      );
      try {
        const value: unknown = JSON.parse(mended);
        this.#refuse(row, 'notJsonNumber', null, null, 'NaN or Infinity is not JSON; read as blank');
        return value;
      } catch {
        this.#refuse(row, 'notJson', null, shorten(text), 'not JSON; the record is left out');
        return undefined;
      }
    }
  }

  #refuse(row: number, code: string, column: string | null, value: string | null, message: string): void {
    this.#report({ code, row, column, value, message });
  }
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  value !== null && typeof value === 'object' && !Array.isArray(value);

/** Whole numbers past 2^53 would lose digits, and such a number is an id: it becomes the text it was written as. */
function longIntegersAsText(value: unknown, text: string): unknown {
  if (!/[:[,]\s*-?\d{16,}\s*[,}\]]/.test(text)) return value;
  return JSON.parse(text, (_, held: unknown, context?: { source?: string }) =>
    typeof held === 'number' && Number.isInteger(held) && !Number.isSafeInteger(held)
      ? (context?.source ?? held)
      : held,
  );
}
