import { looksMangled } from '../../register/doubts.ts';
import type { AsBuilt } from '../../survey/checks/againstRegister.ts';
import { largestNumber } from '../delimited/number.ts';
import { ProblemLog } from '../problemLog.ts';
import type { SampleValue } from '../understanding.ts';
import { Gathered } from './gathered.ts';
import { type MappedColumn, structureMeanings } from './meanings.ts';
import type { RecordReader, StructureRecord } from './records.ts';
import { sampleSize } from './shots.ts';
import { unusableZ, ValueCounts } from './values.ts';

/** Ids remembered to tell a second one; a longer register has later ones unchecked, and says so. */
const mostIds = 1_000_000;
const mostAsBuilts = 50_000;
const fictions = /\b(fictitious|fictive|fictief|fiktiv|fictif|virtual|dummy)\b/i;

/** Everything that one pass over a register gathers. */
export class LayerPass {
  readonly #reader: RecordReader;
  readonly #columns: readonly MappedColumn[];
  readonly #log = new ProblemLog();
  readonly #rowOfId = new Map<string, number>();
  readonly #third = new ValueCounts();
  readonly #hasPlaces: boolean;
  readonly #counts: ValueCounts[];
  readonly gathered = new Gathered();
  readonly #elevations = new Map<string, Gathered>();
  readonly sample: { record: StructureRecord; raw: { [name: string]: SampleValue } }[] = [];
  readonly #first = new Map<string, number>();
  count = 0;
  /** Rims as built beside what a plan asked for, in the file's unit. */
  readonly asBuilts: AsBuilt[] = [];

  /** `hasGeometry`: the format gives records a place of their own. */
  constructor(reader: RecordReader, columns: readonly MappedColumn[], hasGeometry: boolean) {
    const isPlace = (meaning: string | null) => ['northing', 'easting', 'lat', 'lon'].includes(meaning ?? '');
    this.#hasPlaces = hasGeometry || columns.some(({ meaning }) => isPlace(meaning));
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
    const { row, x, y, z, fault, rounded, numbers } = record;
    if (fault) {
      const isNumber = !Number.isNaN(this.#reader.number(fault.value));
      const code = isNumber ? 'range' : 'notANumber';
      const message = isNumber ? 'larger than any length, elevation or coordinate' : 'not a number';
      this.#log.add({ code, row, ...fault, message });
    }
    if (rounded) {
      const message =
        'written in powers of ten with too few digits: the place is rounded, and shown as it is left';
      this.#log.add({ code: 'roundedPlace', row, ...rounded, message });
    }
    if (x !== null && y !== null) this.gathered.add(x, y, z ?? Number.NaN);
    else if (this.#hasPlaces) {
      const message = `${record.id ?? `the structure of row ${row}`} has no place (blank or 0,0); it is kept and not drawn`;
      this.#log.add({ code: 'noPlace', row, column: null, value: null, message });
    }
    if (z !== null) this.#third.add(z);
    for (const [meaning, number] of Object.entries(numbers)) {
      if (number == null || Number.isNaN(number)) continue;
      if (!this.#first.has(meaning)) this.#first.set(meaning, number);
      if (structureMeanings[meaning as keyof typeof structureMeanings] !== 'elevation') continue;
      const held = this.#elevations.get(meaning) ?? new Gathered();
      held.add(x ?? 0, y ?? 0, number);
      this.#elevations.set(meaning, held);
    }
    this.#noteAsBuilt(record);
    this.#lookForFictions(feature);
    this.#columns.forEach(({ meaning }, index) => {
      if (meaning !== null && ['text', 'place', 'degrees'].includes(structureMeanings[meaning])) return;
      const value = this.#reader.number(feature.values[this.#columns[index].index] ?? null);
      if (Math.abs(value) <= largestNumber) this.#counts[index].add(value);
    });
  }

  /** Network models have points that are no structures and say so. */
  #noteAsBuilt({ id, row, numbers }: StructureRecord): void {
    const { rim_elevation: built, planned_elevation: planned } = numbers;
    if (built == null || planned == null || Number.isNaN(built) || Number.isNaN(planned)) return;
    if (this.asBuilts.length < mostAsBuilts) this.asBuilts.push({ id: id ?? `row ${row}`, planned, built });
  }

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
    if (!this.#hasPlaces) {
      this.#log.note(
        'noPlaceColumns',
        'no columns of northing and easting, or of lat and lon: no structure has a place',
      );
    }
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
