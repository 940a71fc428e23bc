import type { DelimitedFile } from '#core/intake/delimited.ts';
import type { Layer, OpenedFile } from '#core/intake/types.ts';
import { type MappedColumn, mapColumns, structureMeanings } from '#core/intake/understand/meanings.ts';
import { RecordReader, type StructureRecord } from '#core/intake/understand/records.ts';
import type { Said } from '#core/intake/understanding.ts';
import type { Problem } from '#core/problem.ts';
import { type LengthUnit, metresPer } from '#core/units/length.ts';
import { normaliseAzimuth, radians } from '#core/units/slope.ts';
import type { Positioner } from './position.ts';
import type { Watch } from './shots.ts';
import { Unknowns } from './unknowns.ts';

/** One structure as the file gives it, in metres of the project's grid and degrees; null where it says nothing. */
export interface StructureDraft {
  row: number;
  id: string;
  kind: string | null;
  owner: string | null;
  street: string | null;
  eastingM: number | null;
  northingM: number | null;
  seatElevationM: number | null;
  seatGradientEast: number | null;
  seatGradientNorth: number | null;
  rimElevationM: number | null;
  frameHeightM: number | null;
  rimDiameterM: number | null;
  roadBearingDeg: number | null;
  setDownM: number | null;
  adjustment: 'rings' | 'telescoping' | null;
  located: boolean | null;
  chimneyUnsound: boolean | null;
  frameUnsound: boolean | null;
  structureDepthM: number | null;
  structureDiameterM: number | null;
}

export interface StructureReading {
  positioner: Positioner;
  elevationMetresPerUnit: number;
  said: Said;
}

/** A register larger than this is refused as a whole: no agency's has so many, and all of it is compared at once. */
export const mostStructures = 500_000;

export interface Drafts {
  drafts: StructureDraft[];
  /** What stood in place of numbers and is kept as unknown, in words. */
  unknowns: string[];
}

/** All structures of a layer. A row with a fault, without an id, or with one that came before is refused. */
export async function readDrafts(
  file: OpenedFile,
  layer: Layer,
  reading: StructureReading,
  watch: Watch,
): Promise<Drafts> {
  const columns = mapColumns(layer, reading.said);
  const style = 'dialect' in file ? (file as DelimitedFile).dialect : undefined;
  const reader = new RecordReader(columns, style);
  const units = new Units(columns, reading.elevationMetresPerUnit);
  const drafts: StructureDraft[] = [];
  const unknowns = new Unknowns(columns);
  const rowOf = new Map<string, number>();
  let rows = 0;
  for await (const batch of layer.features()) {
    for (const feature of batch) {
      rows++;
      const record = reader.read(feature);
      if (record.x !== null && record.y !== null) watch.place?.(record.x, record.y);
      const draft = toDraft(record, reading.positioner, units);
      if ('message' in draft) {
        watch.refuse(draft);
        continue;
      }
      const earlier = rowOf.get(draft.id);
      if (earlier !== undefined) {
        const message = `row ${earlier} has this id already; the second one is not stored`;
        watch.refuse({ code: 'duplicateId', row: draft.row, column: 'id', value: draft.id, message });
        continue;
      }
      rowOf.set(draft.id, draft.row);
      unknowns.addWords(record);
      drafts.push(draft);
      if (drafts.length > mostStructures) throw new TooManyStructures();
    }
    await watch.progress(rows);
  }
  unknowns.settle(drafts);
  return { drafts, unknowns: unknowns.say() };
}

export class TooManyStructures extends Error {
  constructor() {
    super(`more than ${mostStructures} structures in one file: split it`);
  }
}

/** Metres in one unit of each column that holds lengths. */
class Units {
  readonly #byMeaning = new Map<string, number>();
  readonly #elevation: number;
  readonly nameOf = new Map<string, string>();

  constructor(columns: readonly MappedColumn[], elevationMetresPerUnit: number) {
    this.#elevation = elevationMetresPerUnit;
    for (const { meaning, unit, name } of columns) {
      if (meaning === null) continue;
      this.nameOf.set(meaning, name);
      const metres = this.#metres(structureMeanings[meaning], unit);
      if (metres !== null) this.#byMeaning.set(meaning, metres);
    }
  }

  #metres(kind: string, unit: LengthUnit | null): number | null {
    if (kind === 'elevation') return unit === null ? this.#elevation : metresPer[unit];
    if (kind === 'size') return unit === null ? null : metresPer[unit];
    return 1;
  }

  /** The record's number in metres, degrees or as it is; null where blank or its unit is not known yet. */
  of({ numbers, metres: own }: StructureRecord, meaning: string): number | null {
    const written = own[meaning];
    if (written !== undefined) return written;
    const value = numbers[meaning];
    const metres = this.#byMeaning.get(meaning);
    return value == null || Number.isNaN(value) || metres === undefined ? null : value * metres;
  }

  /** A size of 0 is one that nobody measured. */
  size(record: StructureRecord, meaning: string): number | null {
    return this.of(record, meaning) || null;
  }
}

function toDraft(record: StructureRecord, { toGrid }: Positioner, units: Units): StructureDraft | Problem {
  const { row, id, x, y, fault, texts } = record;
  const refuse = (code: string, column: string | null, value: string | null, message: string): Problem => ({
    code,
    row,
    column: column === null ? null : (units.nameOf.get(column) ?? column),
    value,
    message,
  });
  if (fault) return { code: 'notANumber', row, ...fault, message: 'not a number' };
  if (id === null) return refuse('noId', 'id', null, 'a structure without an id cannot be told from another');
  const [eastingM, northingM] = x === null || y === null ? [null, null] : toGrid(x, y);
  for (const meaning of [
    'frame_height',
    'rim_diameter',
    'structure_depth',
    'structure_diameter',
    'set_down',
  ]) {
    const size = units.of(record, meaning);
    if (size !== null && size < 0) return refuse('range', meaning, String(size), 'must not be negative');
  }
  for (const meaning of ['seat_gradient_east', 'seat_gradient_north']) {
    const ratio = units.of(record, meaning);
    if (ratio !== null && Math.abs(ratio) >= 1) {
      return refuse(
        'range',
        meaning,
        String(ratio),
        'a gradient is rise over run, e.g. 0.02 for 2 %, and less than 1',
      );
    }
  }
  const flags = { located: false, chimney_unsound: false, frame_unsound: false };
  const states: Record<string, boolean | null> = {};
  for (const meaning of Object.keys(flags)) {
    const state = readFlag(texts[meaning] ?? null);
    if (state === undefined)
      return refuse('choice', meaning, texts[meaning] ?? '', 'must be yes, no or blank');
    states[meaning] = state;
  }
  const adjustment = texts.adjustment?.toLowerCase() ?? null;
  if (adjustment !== null && adjustment !== 'rings' && adjustment !== 'telescoping') {
    return refuse('choice', 'adjustment', adjustment, 'must be rings or telescoping; blank is rings');
  }
  return {
    row,
    id,
    kind: texts.kind ?? null,
    owner: texts.owner ?? null,
    street: texts.street ?? null,
    eastingM,
    northingM,
    seatElevationM: units.of(record, 'seat_elevation'),
    seatGradientEast: units.of(record, 'seat_gradient_east'),
    seatGradientNorth: units.of(record, 'seat_gradient_north'),
    rimElevationM: units.of(record, 'rim_elevation'),
    frameHeightM: units.size(record, 'frame_height'),
    rimDiameterM: units.size(record, 'rim_diameter'),
    roadBearingDeg: bearingOf(units.of(record, 'road_bearing')),
    setDownM: units.of(record, 'set_down'),
    adjustment,
    located: states.located,
    chimneyUnsound: states.chimney_unsound,
    frameUnsound: states.frame_unsound,
    structureDepthM: units.size(record, 'structure_depth'),
    structureDiameterM: units.size(record, 'structure_diameter'),
  };
}

/** undefined for a word that is neither. */
function readFlag(text: string | null): boolean | null | undefined {
  const word = text?.toLowerCase() ?? '';
  if (word === '') return null;
  if (['yes', 'y', 'true', '1'].includes(word)) return true;
  return ['no', 'n', 'false', '0'].includes(word) ? false : undefined;
}

/** 0 to 360; turning through radians and back would move the sixteenth digit, so a bearing in range stays. */
function bearingOf(degrees: number | null): number | null {
  if (degrees === null || (degrees >= 0 && degrees < 360)) return degrees;
  return Number(((normaliseAzimuth(radians(degrees)) * 180) / Math.PI).toFixed(9));
}
