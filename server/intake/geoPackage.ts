import { setImmediate } from 'node:timers/promises';
import { lengthUnitOf, readWkt } from '#core/crs/wkt.ts';
import { readGpkgGeometry } from '#core/intake/gpkgGeometry.ts';
import { GeometryKinds } from '#core/intake/parts.ts';
import { ProblemLog, RepeatedReading, refuseFile, shorten } from '#core/intake/problemLog.ts';
import { ThirdOrdinate } from '#core/intake/thirdOrdinate.ts';
import type {
  ByteSource,
  CrsStatement,
  Layer,
  OpenedFile,
  RawFeature,
  Reader,
  UnitStatement,
} from '#core/intake/types.ts';
import type { Problem } from '#core/problem.ts';
import { GeoPackageFile, type GpkgTable, SqliteFault } from './sqlite.ts';
import type { FileSource, Workplace } from './workplace.ts';

const batchSize = 500;

/** GeoPackage (OGC 12-128r19): its feature and attribute tables. Needs a place for the file, since SQLite reads files. */
export function geoPackageReader(workplace: Workplace): Reader {
  return {
    format: 'geopackage',
    label: 'GeoPackage',
    extensions: ['gpkg'],
    recognises(name, head) {
      const magic = new TextDecoder('latin1').decode(head.subarray(0, 16));
      if (!magic.startsWith('SQLite format 3')) return 0;
      return /\.gpkg$/i.test(name) || new TextDecoder('latin1').decode(head.subarray(68, 70)) === 'GP'
        ? 1
        : 0.3;
    },
    async open(files) {
      if (files.length !== 1)
        return refuseFile('severalFiles', 'a GeoPackage is one file; give one at a time');
      const [source] = files;
      const file = isFile(source) ? source : await workplace.keep(source.name, source.chunks());
      try {
        return openTables(file);
      } catch (error) {
        if (error instanceof SqliteFault)
          return refuseFile('notGeoPackage', `${source.name}: ${error.message}`);
        throw error;
      }
    },
  };
}

const isFile = (source: ByteSource): source is FileSource => 'path' in source;

function openTables(file: FileSource): OpenedFile | Problem {
  const log = new ProblemLog();
  const read = GeoPackageFile.use(file, (database) =>
    database
      .tables((message) => log.note('tableUnusable', message))
      .map((table) => ({ table, ...statementOf(database, table) })),
  );
  if (read.length === 0)
    return refuseFile('noTables', `${file.name} holds no table of features or attributes`);
  const layers = read.map(({ table, crs }) => layerOf(file, table, crs, new RepeatedReading(log)));
  const [{ crs, units }] = read;
  return {
    format: 'geopackage',
    crs,
    units,
    points: [],
    layers,
    tins: [],
    lines: [],
    grids: [],
    problems: log.list,
  };
}

function statementOf(
  database: GeoPackageFile,
  { srsId }: GpkgTable,
): { crs: CrsStatement | null; units: UnitStatement } {
  const system = srsId === null ? null : database.system(srsId);
  if (system === null) return { crs: null, units: { horizontal: null, vertical: null } };
  const description = readWkt(system.definition);
  const epsg = system.epsg ?? description?.epsg ?? null;
  const isLonLat = description?.kind === 'geographic';
  return {
    crs: { epsg, text: description ? system.definition : system.name, from: 'gpkg_spatial_ref_sys' },
    units: {
      horizontal: isLonLat ? 'degree' : lengthUnitOf(description?.metresPerUnit ?? null),
      vertical: lengthUnitOf(description?.vertical?.metresPerUnit ?? null),
    },
  };
}

const kindOf: Readonly<Record<string, Layer['geometry']>> = {
  POINT: 'point',
  MULTIPOINT: 'point',
  LINESTRING: 'line',
  MULTILINESTRING: 'line',
  POLYGON: 'polygon',
  MULTIPOLYGON: 'polygon',
};

function layerOf(
  file: FileSource,
  table: GpkgTable,
  crs: CrsStatement | null,
  reading: RepeatedReading,
): Layer {
  const type = table.geometryType?.toUpperCase() ?? '';
  return {
    name: table.name,
    columns: table.columns.map(({ name, type }) => ({ name, type })),
    geometry: table.geometryColumn === null ? 'none' : Object.hasOwn(kindOf, type) ? kindOf[type] : 'mixed',
    count: null,
    crs,
    features: () => features(file, table, reading.begin()),
  };
}

async function* features(
  file: FileSource,
  table: GpkgTable,
  report: (problem: Problem) => void,
): AsyncGenerator<RawFeature[]> {
  const kinds = new GeometryKinds();
  const third = new ThirdOrdinate();
  const database = new GeoPackageFile(file);
  let row = 0;
  let batch: RawFeature[] = [];
  try {
    for (const { blob, values } of database.rows(table)) {
      row++;
      const { parts, fault } = blob === null ? { parts: [], fault: null } : readGpkgGeometry(blob);
      if (fault !== null)
        report({
          code: 'geometry',
          row,
          column: table.geometryColumn,
          value: null,
          message: `${fault}; the record has no place`,
        });
      kinds.look(parts);
      for (const part of parts) third.look(part);
      if (parts.length === 0) batch.push({ row, geometry: null, values });
      for (const geometry of parts) batch.push({ row, geometry, values });
      if (batch.length < batchSize) continue;
      yield batch;
      batch = [];
      // SQLite reads within the call: others get their turn between batches.
      await setImmediate();
    }
  } catch (error) {
    if (!(error instanceof SqliteFault)) throw error;
    report({
      code: 'damaged',
      row: row + 1,
      column: null,
      value: shorten(table.name),
      message: `${error.message}; this and all that follow are missing`,
    });
  } finally {
    database.close();
  }
  if (batch.length > 0) yield batch;
  for (const note of [kinds.severalParts(table.name), third.verdict(table.name)])
    if (note !== null) report(note);
}
