import { findCopiedAsBuilts } from '../../survey/checks/againstRegister.ts';
import { toProblem } from '../../survey/checks/types.ts';
import { type LengthUnit, metresPer } from '../../units/length.ts';
import type { DelimitedFile } from '../delimited.ts';
import type { CrsStatement, Layer, OpenedFile } from '../types.ts';
import type { ColumnUnderstood, CrsLookup, Said, SampleValue, Understanding } from '../understanding.ts';
import { idQuestions, unitQuestions, whichElevation } from './columnQuestions.ts';
import { LayerPass } from './layerPass.ts';
import { type MappedColumn, mapColumns, structureMeanings } from './meanings.ts';
import { understandPlace } from './place.ts';
import { RecordReader, type StructureRecord } from './records.ts';
import { markQuestions } from './shots.ts';
import { understandVertical } from './vertical.ts';

export async function understandStructures(
  file: OpenedFile,
  layer: Layer,
  { said, lookup }: { said: Said; lookup: CrsLookup },
): Promise<Omit<Understanding, 'parts'>> {
  const columns = mapColumns(layer, said);
  const style = 'dialect' in file ? (file as DelimitedFile).dialect : undefined;
  const pass = new LayerPass(new RecordReader(columns, style), columns, layer.geometry !== 'none');
  for await (const batch of layer.features()) for (const feature of batch) pass.add(feature);
  const byMeaning = (meaning: string) => columns.find((column) => column.meaning === meaning);
  const isLonLat = layer.geometry === 'none' && byMeaning('lat') && !byMeaning('northing');
  const statement: CrsStatement | null =
    layer.crs ??
    file.crs ??
    (isLonLat ? { epsg: 4326, text: 'columns of latitude and longitude', from: 'headings' } : null);
  const axis = byMeaning('easting');
  const units = { ...file.units, horizontal: axis?.unit ?? file.units.horizontal };
  const axesInDoubt =
    layer.geometry === 'none' && axis !== undefined && /^(x|point_x|coord_?x)/i.test(axis.name);
  const place = understandPlace({ statement, units, gathered: pass.gathered, axesInDoubt, said, lookup });
  const elevation = columns.find(
    ({ meaning }) => meaning !== null && structureMeanings[meaning] === 'elevation' && pass.has(meaning),
  );
  const vertical = understandVertical({
    stated: elevation?.unit ?? file.units.vertical,
    statedFrom: elevation?.unit ? 'heading' : 'file',
    metresPerUnit: place.metresPerUnit,
    gathered: pass.elevations,
    said,
    consecutive: [],
  });
  const questions = [...markQuestions(file), ...idQuestions(columns), ...place.questions];
  if (elevation?.meaning === 'elevation' && !byMeaning('rim_elevation'))
    questions.push(whichElevation(elevation));
  if (vertical.question) questions.push(vertical.question);
  questions.push(...unitQuestions(columns, pass));
  const unit = vertical.unit.unit;
  const metres = unit === null || unit === 'degree' ? 1 : metresPer[unit];
  const asBuilts = pass.asBuilts.map(({ id, planned, built }) => ({
    id,
    planned: planned * metres,
    built: built * metres,
  }));
  const copied = findCopiedAsBuilts(asBuilts).map((finding) => ({
    ...toProblem(finding),
    column: byMeaning('rim_elevation')?.name ?? null,
  }));
  return {
    format: file.format,
    kind: 'structures',
    name: layer.name,
    count: pass.count,
    bounds: boundsOf(pass, place.swapped),
    lands: place.lands,
    crs: place.crs,
    units: { horizontal: place.horizontal, vertical: vertical.unit },
    columns: columns.map((column) =>
      columnOf(column, { horizontal: place.horizontal.unit, vertical: vertical.unit.unit }),
    ),
    sample: pass.sample.map(({ record, raw }) => sampleOf(record, raw, place)),
    problems: [...file.problems, ...pass.problems(), ...place.problems, ...copied],
    questions,
  };
}

function boundsOf(pass: LayerPass, swapped: boolean): Understanding['bounds'] {
  const bounds = pass.gathered.bounds(swapped);
  if (bounds === null) return null;
  const elevations = pass.elevations.bounds();
  return {
    ...bounds,
    minElevation: elevations?.minElevation ?? pass.third(bounds.minElevation),
    maxElevation: elevations?.maxElevation ?? pass.third(bounds.maxElevation),
  };
}

function columnOf(
  { name, meaning, unit, from }: MappedColumn,
  ofFile: { horizontal: ColumnUnderstood['unit']; vertical: LengthUnit | 'degree' | null },
): ColumnUnderstood {
  const kind = meaning === null ? null : structureMeanings[meaning];
  const shared =
    kind === 'place'
      ? ofFile.horizontal
      : kind === 'elevation'
        ? ofFile.vertical
        : kind === 'degrees'
          ? 'degree'
          : null;
  return { name, meaning, unit: unit ?? shared, from: meaning === null ? 'unknown' : from };
}

function sampleOf(
  record: StructureRecord,
  raw: { [name: string]: SampleValue },
  { horizontal, swapped }: { horizontal: { unit: string | null }; swapped: boolean },
): { [name: string]: SampleValue } {
  const { row, id, x, y, numbers, texts, metres } = record;
  const [east, north] = swapped ? [y, x] : [x, y];
  const place: { [name: string]: SampleValue } =
    horizontal.unit === 'degree' ? { lon: x, lat: y } : { northing: north, easting: east };
  const skip = ['northing', 'easting', 'lat', 'lon'];
  const rest = Object.entries({ ...texts, ...numbers })
    .filter(([meaning]) => !skip.includes(meaning))
    .map(([meaning, value]): [string, SampleValue] => [
      meaning,
      typeof value === 'number' && Number.isNaN(value) ? null : (value ?? null),
    ]);
  // A number that brings its own unit is shown with it.
  const own = Object.entries(metres).map(([meaning, value]) => [meaning, { metres: value ?? null }]);
  return { row, id, ...place, ...Object.fromEntries(rest), ...Object.fromEntries(own), values: raw };
}
