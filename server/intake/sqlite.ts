import { DatabaseSync, type DatabaseSyncOptions, type SQLInputValue } from 'node:sqlite';
import { pathToFileURL } from 'node:url';
import { type CellValue, mostColumns } from '#core/intake/columnTypes.ts';
import type { LayerColumn } from '#core/intake/types.ts';
import type { FileSource } from './workplace.ts';

/** What SQLite says of a file that it cannot read. */
export class SqliteFault extends Error {}

export interface GpkgTable {
  name: string;
  columns: readonly LayerColumn[];
  geometryColumn: string | null;
  geometryType: string | null;
  srsId: number | null;
}

export interface GpkgSystem {
  name: string;
  epsg: number | null;
  definition: string;
}

const mostTables = 100;
/** One value or row larger than this is no cover and no street. */
const mostRowBytes = 16 << 20;

/**
 * A GeoPackage as a SQLite database from a stranger: read only, unchanging, no extensions, no schema tricks. Only plain
 * tables are read, from end to end, since views and virtual tables can compute without end.
 */
export class GeoPackageFile {
  readonly #database: DatabaseSync;
  readonly #bytes: number;

  /** @throws SqliteFault */
  constructor(file: FileSource) {
    const url = pathToFileURL(file.path);
    // Nobody else writes it; without this a file in WAL mode would want to write beside itself.
    url.searchParams.set('immutable', '1');
    const options: DatabaseSyncOptions & { defensive: boolean; limits: Record<string, number> } = {
      readOnly: true,
      allowExtension: false,
      defensive: true,
      enableDoubleQuotedStringLiterals: false,
      limits: { length: mostRowBytes, sqlLength: 1 << 20, attach: 0, vdbeOp: 100_000, triggerDepth: 1 },
    };
    this.#bytes = file.size;
    this.#database = guard(() => new DatabaseSync(url, options));
    try {
      this.#all('PRAGMA trusted_schema = OFF');
      this.#all('PRAGMA query_only = ON');
      this.#all('PRAGMA mmap_size = 0');
    } catch (error) {
      this.close();
      throw error;
    }
  }

  /** @throws SqliteFault */
  static use<T>(file: FileSource, work: (database: GeoPackageFile) => T): T {
    const database = new GeoPackageFile(file);
    try {
      return work(database);
    } finally {
      database.close();
    }
  }

  close(): void {
    this.#database.close();
  }

  /** Feature and attribute tables; what cannot be used is said. */
  tables(note: (message: string) => void): GpkgTable[] {
    if (!this.#isPlainTable('gpkg_contents'))
      throw new SqliteFault('no gpkg_contents table, so not a GeoPackage');
    const contents = this.#all(
      "SELECT table_name, data_type, srs_id FROM gpkg_contents WHERE data_type IN ('features', 'attributes') LIMIT ?",
      mostTables + 1,
    );
    if (contents.length > mostTables) throw new SqliteFault(`more than ${mostTables} tables`);
    return contents.flatMap(({ table_name, data_type, srs_id }) => {
      const name = String(table_name);
      if (!this.#isPlainTable(name)) {
        note(`${name} is a view or not there; only tables are read`);
        return [];
      }
      return this.#table(name, data_type === 'features', srs_id);
    });
  }

  #table(name: string, hasFeatures: boolean, contentsSrs: unknown): GpkgTable {
    const [geometry] =
      hasFeatures && this.#isPlainTable('gpkg_geometry_columns')
        ? this.#all(
            'SELECT column_name, geometry_type_name, srs_id FROM gpkg_geometry_columns WHERE table_name = ? COLLATE NOCASE LIMIT 1',
            name,
          )
        : [];
    const geometryColumn = geometry ? String(geometry.column_name) : null;
    // Generated columns (hidden 2 and 3) compute; hidden ones (1) belong to virtual tables.
    const all = this.#all('SELECT name, type, hidden FROM pragma_table_xinfo(?)', name).filter(
      ({ hidden }) => hidden === 0n,
    );
    if (all.length > mostColumns) throw new SqliteFault(`${name} has more than ${mostColumns} columns`);
    const columns = all
      .filter((column) => String(column.name).toLowerCase() !== geometryColumn?.toLowerCase())
      .filter(({ type }) => !/BLOB/i.test(String(type)))
      .map((column) => ({ name: String(column.name), type: columnTypeOf(String(column.type)) }));
    const srs = geometry ? geometry.srs_id : contentsSrs;
    const held =
      geometryColumn !== null &&
      all.some((column) => String(column.name).toLowerCase() === geometryColumn.toLowerCase());
    return {
      name,
      columns,
      geometryColumn: held ? geometryColumn : null,
      geometryType: geometry ? String(geometry.geometry_type_name) : null,
      srsId: typeof srs === 'bigint' ? Number(srs) : null,
    };
  }

  /** The system of an id; null where it is undefined (-1 and 0) or not there. */
  system(srsId: number): GpkgSystem | null {
    if (srsId === 0 || srsId === -1 || !this.#isPlainTable('gpkg_spatial_ref_sys')) return null;
    const [row] = this.#all(
      'SELECT srs_name, organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys WHERE srs_id = ? LIMIT 1',
      srsId,
    );
    if (!row) return null;
    const code = Number(row.organization_coordsys_id);
    const isEpsg = /^epsg$/i.test(String(row.organization)) && Number.isInteger(code) && code > 0;
    return { name: String(row.srs_name), epsg: isEpsg ? code : null, definition: String(row.definition) };
  }

  /** Rows in the order of the file. @throws SqliteFault where it is damaged */
  *rows({
    name,
    columns,
    geometryColumn,
  }: GpkgTable): Generator<{ blob: Uint8Array | null; values: CellValue[] }> {
    const wanted = [
      ...(geometryColumn === null ? [] : [geometryColumn]),
      ...columns.map((column) => column.name),
    ];
    if (wanted.length === 0) return;
    const statement = guard(() =>
      this.#database.prepare(`SELECT ${wanted.map(quoted).join(', ')} FROM ${quoted(name)} NOT INDEXED`),
    );
    statement.setReadBigInts(true);
    statement.setReturnArrays(true);
    const rows = guard(() => statement.iterate())[Symbol.iterator]() as Iterator<unknown>;
    // A damaged tree can lead through the same pages again and again; an honest one holds no more than the file.
    let budget = this.#bytes * 2;
    for (;;) {
      const next = guard(() => rows.next());
      if (next.done) return;
      const cells = next.value as unknown[];
      budget -= 2 + cells.reduce<number>((sum, cell) => sum + bytesOf(cell), 0);
      if (budget < 0) throw new SqliteFault('the table holds more than the file; it is damaged');
      const blob = geometryColumn !== null && cells[0] instanceof Uint8Array ? cells[0] : null;
      const first = wanted.length - columns.length;
      yield { blob, values: columns.map((column, i) => cellOf(cells[first + i], column.type)) };
    }
  }

  #isPlainTable(name: string): boolean {
    const [row] = this.#all(
      "SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = ? COLLATE NOCASE LIMIT 1",
      name,
    );
    return row !== undefined && !/^\s*CREATE\s+VIRTUAL\b/i.test(String(row.sql));
  }

  #all(query: string, ...values: SQLInputValue[]): Record<string, unknown>[] {
    return guard(() => {
      const statement = this.#database.prepare(query);
      statement.setReadBigInts(true);
      return statement.all(...values);
    });
  }
}

/** SQLite's own errors become faults of the file. */
function guard<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof Error && 'code' in error && String(error.code).startsWith('ERR_SQLITE'))
      throw new SqliteFault(error.message);
    throw error;
  }
}

const quoted = (name: string) => `"${name.replaceAll('"', '""')}"`;

function bytesOf(cell: unknown): number {
  if (typeof cell === 'string') return cell.length;
  return cell instanceof Uint8Array ? cell.length : 0;
}

function columnTypeOf(declared: string): LayerColumn['type'] {
  if (/BOOL/i.test(declared)) return 'boolean';
  if (/INT|REAL|DOUB|FLOA|NUM|DEC/i.test(declared)) return 'number';
  return /CHAR|TEXT|CLOB|DATE/i.test(declared) ? 'text' : 'mixed';
}

function cellOf(cell: unknown, type: LayerColumn['type']): CellValue {
  if (typeof cell === 'bigint') {
    if (type === 'boolean') return cell !== 0n;
    const value = Number(cell);
    return Number.isSafeInteger(value) ? value : String(cell);
  }
  if (typeof cell === 'number') return Number.isFinite(cell) ? cell : null;
  return typeof cell === 'string' ? cell : null;
}
