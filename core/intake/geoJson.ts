import { lonLatEpsg } from '../crs/statement.ts';
import type { Problem } from '../problem.ts';
import { type CellValue, ColumnTypes, cellOf, mostColumns } from './columnTypes.ts';
import { crsOfMember } from './geoJsonCrs.ts';
import { type GeoJsonRecord, GeoJsonRecords } from './geoJsonRecords.ts';
import { GeometryKinds } from './parts.ts';
import { ProblemLog, RepeatedReading, refuseFile } from './problemLog.ts';
import { stemOf } from './stem.ts';
import { headText, utf8Chunks } from './textBytes.ts';
import { ThirdOrdinate } from './thirdOrdinate.ts';
import type { ByteSource, CrsStatement, Layer, OpenedFile, RawFeature, Reader } from './types.ts';

/**
 * GeoJSON (RFC 7946): a FeatureCollection, a Feature, a bare geometry, or many of them one after the other (RFC 8142,
 * newline-delimited). The whole file is read once on opening, for its columns and its `crs`, which may stand last.
 */
export const geoJsonReader: Reader = {
  format: 'geojson',
  label: 'GeoJSON',
  extensions: ['geojson', 'json', 'geojsonl', 'ndjson', 'geojsons'],
  recognises(name, head) {
    const text = headText(head).replaceAll('\x1e', '').trimStart();
    if (!text.startsWith('{')) return 0;
    if (
      /"type"\s*:\s*"(Feature(Collection)?|(Multi)?(Point|LineString|Polygon)|GeometryCollection)"/.test(text)
    )
      return 1;
    return /\.geojson[ls]?$/i.test(name) ? 0.8 : 0.2;
  },
  async open(files) {
    if (files.length !== 1) return refuseFile('severalFiles', 'GeoJSON is one file; give one at a time');
    return openGeoJson(files[0]);
  },
};

async function openGeoJson(source: ByteSource): Promise<OpenedFile | Problem> {
  const log = new ProblemLog();
  const name = stemOf(source.name);
  const reading = new RepeatedReading(log);
  const survey = await surveyRecords(source, name, reading);
  if ('code' in survey) return survey;
  const crs = crsOfFile(survey.crsMembers, log);
  const layer: Layer = {
    name,
    columns: survey.columns.list(),
    geometry: survey.kinds.kind(),
    count: survey.count,
    crs,
    features: () => features(source, survey, reading.begin()),
  };
  return {
    format: 'geojson',
    crs,
    units: { horizontal: crs.epsg === lonLatEpsg ? 'degree' : null, vertical: null },
    points: [],
    layers: [layer],
    tins: [],
    lines: [],
    grids: [],
    problems: log.list,
  };
}

interface Survey {
  columns: ColumnTypes;
  /** Column of a feature's own `id` member; null where no feature has one. */
  idColumn: string | null;
  kinds: GeometryKinds;
  count: number;
  crsMembers: string[];
}

async function surveyRecords(
  source: ByteSource,
  name: string,
  reading: RepeatedReading,
): Promise<Survey | Problem> {
  const report = reading.begin();
  const columns = new ColumnTypes();
  const ids = new ColumnTypes();
  const kinds = new GeometryKinds();
  const third = new ThirdOrdinate();
  const records = new GeoJsonRecords(source.name);
  let count = 0;
  for await (const batch of records.read(utf8Chunks(source), report)) {
    for (const record of batch) {
      for (const key of Object.keys(record.properties)) columns.look(key, cellOf(record.properties[key]));
      if (record.id !== null) ids.look('id', record.id);
      kinds.look(record.parts);
      for (const part of record.parts) third.look(part);
      count += Math.max(1, record.parts.length);
    }
    if (columns.size > mostColumns)
      return refuseFile(
        'columnCount',
        `more than ${mostColumns} different properties; no register has that many`,
      );
  }
  if (records.refusal !== null) return records.refusal;
  for (const note of [kinds.severalParts(name), third.verdict(name)]) if (note !== null) report(note);
  const idColumn = ids.size === 0 ? null : columns.has('id') ? 'feature id' : 'id';
  if (idColumn !== null) columns.addFirst(idColumn, ids.typeOf('id'));
  return { columns, idColumn, kinds, count, crsMembers: records.crsMembers };
}

async function* features(
  source: ByteSource,
  { columns, idColumn }: Survey,
  report: (problem: Problem) => void,
): AsyncGenerator<RawFeature[]> {
  const index = columns.index();
  for await (const batch of new GeoJsonRecords(source.name).read(utf8Chunks(source), report))
    if (batch.length > 0) yield batch.flatMap((record) => toFeatures(record, index, idColumn));
}

function toFeatures(
  { row, parts, properties, id }: GeoJsonRecord,
  index: ReadonlyMap<string, number>,
  idColumn: string | null,
): RawFeature[] {
  const values: CellValue[] = new Array(index.size).fill(null);
  for (const key of Object.keys(properties)) values[index.get(key)!] = cellOf(properties[key]);
  if (idColumn !== null) values[0] = id;
  return parts.length === 0
    ? [{ row, geometry: null, values }]
    : parts.map((geometry) => ({ row, geometry, values }));
}

function crsOfFile(members: readonly string[], log: ProblemLog): CrsStatement {
  if (members.length === 0) return { epsg: lonLatEpsg, text: 'urn:ogc:def:crs:OGC::CRS84', from: 'RFC 7946' };
  const statements = members.map(crsOfMember);
  const texts = new Set(statements.map(({ text }) => text));
  if (texts.size > 1)
    log.note(
      'severalCrs',
      'the file states different coordinate reference systems; the first is taken',
      [...texts].slice(0, 3).join(', '),
    );
  return statements[0];
}
