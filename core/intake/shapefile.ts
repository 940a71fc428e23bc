import { lengthUnitOf, readWkt } from '../crs/wkt.ts';
import type { Problem } from '../problem.ts';
import { counted } from '../units/count.ts';
import { type DbfTable, openDbf } from './dbf.ts';
import { GeometryKinds } from './parts.ts';
import { ProblemLog, RepeatedReading, refuseFile } from './problemLog.ts';
import { openShp, type ShpFile } from './shp.ts';
import type { ShpGeometry } from './shpGeometry.ts';
import { extensionOf, stemOf } from './stem.ts';
import { ThirdOrdinate } from './thirdOrdinate.ts';
import type { ByteSource, CrsStatement, Layer, RawFeature, Reader, UnitStatement } from './types.ts';

const batchSize = 1000;
/** Text beside a shapefile longer than this is none. */
const mostTextBytes = 100_000;

/**
 * Shapefiles: .shp with .dbf, .shx, .prj and .cpg of the same name, whatever the case of the letters, or a .dbf alone.
 * Own code, since both formats are small and fixed, and the readers at hand take files whole or turn blanks into 0.
 */
export const shapefileReader: Reader = {
  format: 'shapefile',
  label: 'Shapefile',
  extensions: ['shp', 'shx', 'dbf', 'prj', 'cpg'],
  recognises(name, head) {
    const extension = extensionOf(name);
    if (head[0] === 0 && head[1] === 0 && head[2] === 0x27 && head[3] === 0x0a) return 1;
    if (extension === 'dbf') return head.length >= 32 && head[2] <= 12 && head[3] <= 31 ? 0.9 : 0.1;
    return extension === 'prj' || extension === 'cpg' ? 0.5 : 0;
  },
  async open(files) {
    const log = new ProblemLog();
    const layers: Layer[] = [];
    let units: UnitStatement = { horizontal: null, vertical: null };
    for (const [key, members] of groupsOf(files)) {
      const opened = await openGroup(key, members, log);
      if (opened === null) continue;
      if ('code' in opened) {
        if (groupsOf(files).size === 1) return opened;
        log.add(opened);
        continue;
      }
      layers.push(opened.layer);
      if (layers.length === 1) units = opened.units;
    }
    if (layers.length === 0) return refuseFile('noShapes', 'no .shp or .dbf among the files');
    const crs = layers[0].crs;
    return {
      format: 'shapefile',
      crs,
      units,
      points: [],
      layers,
      tins: [],
      lines: [],
      grids: [],
      problems: log.list,
    };
  },
};

type Members = Map<string, ByteSource>;

/** Files by their name in small letters, then by extension. */
function groupsOf(files: readonly ByteSource[]): Map<string, Members> {
  const groups = new Map<string, Members>();
  for (const file of files) {
    const key = stemOf(file.name).toLowerCase();
    const members = groups.get(key) ?? new Map<string, ByteSource>();
    if (!members.has(extensionOf(file.name))) members.set(extensionOf(file.name), file);
    groups.set(key, members);
  }
  return groups;
}

/** The name as written where all files agree on it, else in small letters. */
function nameOf(key: string, members: Members): string {
  const [first, ...others] = ['shp', 'shx', 'dbf', 'prj']
    .flatMap((extension) => members.get(extension) ?? [])
    .map(({ name }) => stemOf(name));
  return others.every((name) => name === first) ? (first ?? key) : key;
}

async function openGroup(
  key: string,
  members: Members,
  log: ProblemLog,
): Promise<{ layer: Layer; units: UnitStatement } | Problem | null> {
  const [shp, dbf] = [members.get('shp'), members.get('dbf')];
  if (!shp && !dbf) return null;
  const name = nameOf(key, members);
  const shapes = shp ? await openShp(shp, members.get('shx') ?? null) : null;
  if (shapes !== null && 'code' in shapes) return shapes;
  const table = dbf ? await openDbf(dbf, await textOf(members.get('cpg'))) : null;
  if (table !== null && 'code' in table) {
    if (shapes === null) return table;
    log.add(table);
  }
  const usable = table === null || 'code' in table ? null : table;
  for (const note of [...(shapes?.notes ?? []), ...(usable?.notes ?? [])]) log.add(note);
  if (!dbf) log.note('noTable', `${name} came without its .dbf: the shapes have no values`);
  if (!shapes) log.note('noShapes', `${name} came without its .shp: the records have no place`);
  const { crs, units } = statementOf(await textOf(members.get('prj')));
  const reading = new RepeatedReading(log);
  const pair = { name, shapes, table: usable };
  const layer: Layer = {
    name,
    columns: usable?.columns ?? [],
    geometry: shapes?.geometry ?? 'none',
    count: null,
    crs,
    features: () => features(pair, reading.begin()),
  };
  return { layer, units };
}

async function textOf(source: ByteSource | undefined): Promise<string | null> {
  if (!source) return null;
  return new TextDecoder().decode(await source.bytes(0, Math.min(source.size, mostTextBytes)));
}

function statementOf(prj: string | null): { crs: CrsStatement | null; units: UnitStatement } {
  const text = prj?.replaceAll('\0', '').trim() ?? '';
  if (text === '') return { crs: null, units: { horizontal: null, vertical: null } };
  const description = readWkt(text);
  return {
    crs: { epsg: description?.epsg ?? null, text, from: '.prj' },
    units: {
      horizontal:
        description?.kind === 'geographic' ? 'degree' : lengthUnitOf(description?.metresPerUnit ?? null),
      vertical: lengthUnitOf(description?.vertical?.metresPerUnit ?? null),
    },
  };
}

interface Pair {
  name: string;
  shapes: ShpFile | null;
  table: DbfTable | null;
}

async function* features(
  { name, shapes, table }: Pair,
  report: (problem: Problem) => void,
): AsyncGenerator<RawFeature[]> {
  const columns = table?.columns.length ?? 0;
  const blank = () => new Array<null>(columns).fill(null);
  const kinds = new GeometryKinds();
  const third = new ThirdOrdinate();
  const rest = shapes?.shapes(report) ?? null;
  let shapeCount = 0;
  let deletedRecords = 0;
  let batch: RawFeature[] = [];
  let shapesEnded = rest === null;
  for (let record = 0; !shapesEnded || record < (table?.records ?? 0); record++) {
    const shape: ShpGeometry | null = shapesEnded ? null : ((await rest!.next()).value ?? null);
    if (shape === null) shapesEnded = true;
    else shapeCount++;
    const inTable = record < (table?.records ?? 0);
    if (shape === null && !inTable) break;
    const row = record + 1;
    const values = inTable ? await table!.read(record, report) : blank();
    if (values === null) {
      deletedRecords++;
      continue;
    }
    if (shape?.fault)
      report({
        code: 'geometry',
        row,
        column: 'shape',
        value: null,
        message: `${shape.fault}; the record has no place`,
      });
    const parts = shape?.parts ?? [];
    kinds.look(parts);
    for (const part of parts) third.look(part);
    if (parts.length === 0) batch.push({ row, geometry: null, values });
    for (const geometry of parts) batch.push({ row, geometry, values });
    if (batch.length >= batchSize) {
      yield batch;
      batch = [];
    }
  }
  if (batch.length > 0) yield batch;
  const notes = [kinds.severalParts(name), third.verdict(name), deletedNote(name, deletedRecords)];
  if (shapes && table) notes.push(countNote(name, shapeCount, table.records));
  for (const note of notes) if (note !== null) report(note);
}

function deletedNote(name: string, records: number): Problem | null {
  if (records === 0) return null;
  const said = counted(records, 'record is', 'records are');
  return refuseFile(
    'deletedRecords',
    `${said} marked as deleted in the table of ${name}; left out`,
    String(records),
  );
}

function countNote(name: string, shapes: number, records: number): Problem | null {
  if (shapes === records) return null;
  return refuseFile(
    'countsDisagree',
    `${name} has ${counted(shapes, 'shape')} but ${counted(records, 'record')}; what is left over stands alone`,
    `${shapes} / ${records}`,
  );
}
