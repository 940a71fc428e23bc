import { looksMangled } from '../../register/doubts.ts';
import { type LengthUnit, metresPer } from '../../units/length.ts';
import type { DelimitedFile } from '../delimited.ts';
import { ProblemLog } from '../problemLog.ts';
import type { CrsStatement, Layer, OpenedFile } from '../types.ts';
import type {
  Choice,
  ColumnUnderstood,
  CrsLookup,
  Question,
  Said,
  SampleValue,
  Understanding,
} from '../understanding.ts';
import { Gathered } from './gathered.ts';
import { type MappedColumn, mapColumns, structureMeanings } from './meanings.ts';
import { understandPlace } from './place.ts';
import { RecordReader, type StructureRecord } from './records.ts';
import { markQuestions, sampleSize } from './shots.ts';
import { unusableZ, ValueCounts } from './values.ts';
import { understandVertical } from './vertical.ts';

/** Ids remembered to tell a second one; a longer register has later ones unchecked, and says so. */
const mostIds = 1_000_000;
const fictions = /\b(fictitious|fictive|fictief|fiktiv|fictif|virtual|dummy)\b/i;

export async function understandStructures(
  file: OpenedFile,
  layer: Layer,
  { said, lookup }: { said: Said; lookup: CrsLookup },
): Promise<Omit<Understanding, 'parts'>> {
  const columns = mapColumns(layer, said);
  const style = 'dialect' in file ? (file as DelimitedFile).dialect : undefined;
  const pass = new LayerPass(new RecordReader(columns, style), columns);
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
    layer.geometry === 'none' && axis !== undefined && /^(x|point_x|coord_x)/i.test(axis.name);
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
  return {
    format: file.format,
    kind: 'structures',
    name: layer.name,
    count: pass.count,
    bounds: boundsOf(pass, place.swapped),
    crs: place.crs,
    units: { horizontal: place.horizontal, vertical: vertical.unit },
    columns: columns.map((column) =>
      columnOf(column, { horizontal: place.horizontal.unit, vertical: vertical.unit.unit }),
    ),
    sample: pass.sample.map(({ record, raw }) => sampleOf(record, raw, place)),
    problems: [...file.problems, ...pass.problems(), ...place.problems],
    questions,
  };
}

/** Everything that one pass over a register gathers. */
class LayerPass {
  readonly #reader: RecordReader;
  readonly #columns: readonly MappedColumn[];
  readonly #log = new ProblemLog();
  readonly #rowOfId = new Map<string, number>();
  readonly #third = new ValueCounts();
  readonly #counts: ValueCounts[];
  readonly gathered = new Gathered();
  readonly #elevations = new Map<string, Gathered>();
  readonly sample: { record: StructureRecord; raw: { [name: string]: SampleValue } }[] = [];
  readonly #first = new Map<string, number>();
  count = 0;

  constructor(reader: RecordReader, columns: readonly MappedColumn[]) {
    this.#reader = reader;
    this.#columns = columns;
    this.#counts = columns.map(() => new ValueCounts());
  }

  /** Elevations of the column that says most of the pavement. */
  get elevations(): Gathered {
    const order = ['rim_elevation', 'elevation', 'ground_elevation', 'seat_elevation', 'invert_elevation'];
    const first = order.find((meaning) => this.#elevations.has(meaning));
    return this.#elevations.get(first ?? '') ?? new Gathered();
  }

  has(meaning: string): boolean {
    return this.#first.has(meaning);
  }

  /** First value of a column that is not blank. */
  first(meaning: string): number | null {
    return this.#first.get(meaning) ?? null;
  }

  add(feature: Parameters<RecordReader['read']>[0]): void {
    this.count++;
    const record = this.#reader.read(feature);
    if (this.sample.length < sampleSize) this.sample.push({ record, raw: this.#reader.raw(feature.values) });
    this.#lookAtId(record);
    const { row, x, y, z, fault, numbers } = record;
    if (fault)
      this.#log.add({
        code: 'notANumber',
        row,
        column: fault.column,
        value: fault.value,
        message: 'not a number',
      });
    if (x === null || y === null) {
      const message = `${record.id ?? `the structure of row ${row}`} has no place (blank or 0,0); it is kept and not drawn`;
      this.#log.add({ code: 'noPlace', row, column: null, value: null, message });
    } else this.gathered.add(x, y, z ?? Number.NaN);
    if (z !== null) this.#third.add(z);
    for (const [meaning, number] of Object.entries(numbers)) {
      if (number == null || Number.isNaN(number)) continue;
      if (!this.#first.has(meaning)) this.#first.set(meaning, number);
      if (structureMeanings[meaning as keyof typeof structureMeanings] !== 'elevation') continue;
      const held = this.#elevations.get(meaning) ?? new Gathered();
      held.add(x ?? 0, y ?? 0, number);
      this.#elevations.set(meaning, held);
    }
    this.#lookForFictions(feature);
    this.#columns.forEach(({ meaning }, index) => {
      if (meaning !== null && ['text', 'place', 'degrees'].includes(structureMeanings[meaning])) return;
      const value = this.#reader.number(feature.values[this.#columns[index].index] ?? null);
      if (!Number.isNaN(value)) this.#counts[index].add(value);
    });
  }

  /** Network models have points that are no structures and say so. */
  #lookForFictions({ row, values }: Parameters<RecordReader['read']>[0]): void {
    const at = values.findIndex((value) => typeof value === 'string' && fictions.test(value));
    if (at < 0) return;
    const message = 'says that this is no real structure; leave it out unless it is one';
    const column = this.#columns[at]?.name ?? null;
    this.#log.add({ code: 'notReal', row, column, value: String(values[at]), message });
  }

  #lookAtId({ id, row }: StructureRecord): void {
    if (id === null) {
      this.#log.add({
        code: 'noId',
        row,
        column: 'id',
        value: null,
        message: 'a structure without an id cannot be told from another',
      });
      return;
    }
    const earlier = this.#rowOfId.get(id);
    if (earlier !== undefined) {
      const message = `row ${earlier} has this id already; say whether it is the same structure`;
      this.#log.add({ code: 'duplicateId', row, column: 'id', value: id, message });
    } else if (this.#rowOfId.size < mostIds) this.#rowOfId.set(id, row);
    if (looksMangled(id)) {
      this.#log.add({
        code: 'mangledId',
        row,
        column: 'id',
        value: id,
        message: 'looks spreadsheet-mangled; it is kept as written',
      });
    }
  }

  /** A third ordinate that says nothing of elevation is no bound. */
  third(value: number | null): number | null {
    return this.#third.isFlat || unusableZ(this.#third) !== null ? null : value;
  }

  problems() {
    if (!this.#columns.some(({ meaning }) => meaning === 'id')) {
      this.#log.list.splice(
        0,
        this.#log.list.length,
        ...this.#log.list.filter(({ code }) => code !== 'noId'),
      );
      this.#log.note('noIdColumn', 'no column of ids was recognised; say which one names the structures');
    }
    if (this.#rowOfId.size >= mostIds)
      this.#log.note('notAllChecked', `ids after the first ${mostIds} were not compared`);
    const third = unusableZ(this.#third);
    if (third) this.#log.note('thirdOrdinate', third);
    this.#columns.forEach(({ name }, index) => {
      const said = this.#counts[index].zeroMeansUnknown();
      if (said)
        this.#log.add({ code: 'zeroMeansUnknown', row: null, column: name, value: '0', message: said });
    });
    return this.#log.list;
  }
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
  const { row, id, x, y, numbers, texts } = record;
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
  return { row, id, ...place, ...Object.fromEntries(rest), values: raw };
}

function idQuestions(columns: readonly MappedColumn[]): Question[] {
  const id = columns.find(({ meaning }) => meaning === 'id');
  if (id && id.from !== 'guess') return [];
  return [
    {
      code: 'idColumn',
      about: id?.name ?? null,
      text: 'Which column names the structures? Ids stay text, as they are written.',
      choices: columns
        .filter(({ meaning }) => meaning === null || structureMeanings[meaning] === 'text')
        .slice(0, 50)
        .map(({ name }) => ({ id: name, text: name })),
      likely: id?.name ?? null,
    },
  ];
}

function whichElevation({ name }: MappedColumn): Question {
  const choices: Choice[] = [
    { id: 'rim_elevation', text: 'of the rim' },
    { id: 'ground_elevation', text: 'of the ground or the pavement' },
    { id: 'invert_elevation', text: 'of the invert or the bottom' },
    { id: 'seat_elevation', text: 'of the seat' },
  ];
  return {
    code: 'whichElevation',
    about: name,
    text: `Of what is "${name}" the elevation?`,
    choices,
    likely: null,
  };
}

/** A size without a unit: 0.65 can be feet (7.8 in) as well as metres, 8 inches as well as tenths. */
function unitQuestions(columns: readonly MappedColumn[], pass: LayerPass): Question[] {
  return columns
    .filter(
      ({ meaning, unit }) =>
        meaning !== null && structureMeanings[meaning] === 'size' && unit === null && pass.has(meaning),
    )
    .map(({ name, meaning }) => {
      const value = pass.first(meaning!)!;
      return {
        code: 'columnUnit',
        about: name,
        text: `"${name}" has no unit. Its first value is ${value}: in which unit?`,
        choices: (['in', 'ft', 'm', 'cm', 'mm'] as const).map((unit) => {
          const inches = (value * metresPer[unit]) / metresPer.in;
          const metres = value * metresPer[unit];
          return {
            id: unit,
            text: `${value} ${unit} = ${Number(inches.toFixed(2))} in = ${Number((metres * 1000).toFixed(1))} mm`,
            example: { inches, metres },
          };
        }),
        likely: null,
      };
    });
}
