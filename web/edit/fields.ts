import { fixed, formatElevation, formatSmall } from '#core/units/format.ts';
import { type LengthUnit, parseLength } from '#core/units/length.ts';
import type { Structure, StructurePatch } from '#shared/structure.ts';
import type { Typed } from '../grade/lengths.ts';
import { type Units, unitName } from '../units.ts';

/** What kind of figure a field holds; lengths are metres in the register. */
export type FieldKind = 'text' | 'small' | 'elevation' | 'degrees' | 'percent' | 'adjustment' | 'yesNo';

export type FieldKey =
  | Exclude<keyof StructurePatch, 'condition'>
  | 'located'
  | 'chimneyUnsound'
  | 'frameUnsound';

export interface Field {
  key: FieldKey;
  word: string;
  kind: FieldKind;
  /** A blank is kept as "not known". */
  mayBeBlank?: true;
  /** What is said of a blank; default "blank". */
  blankWord?: string;
  /** Limits of the register, in its own unit: metres, degrees, ratio. `above`: not that itself. */
  least?: number;
  above?: number;
  most?: number;
  hint?: string;
}

const elevation = { kind: 'elevation', least: -500, most: 9000 } as const;
const measured = { mayBeBlank: true, blankWord: 'never measured', hint: 'blank: never measured' } as const;
const slope = { kind: 'percent', least: -0.3, most: 0.3 } as const;

/** What can be changed on the card, in the order in which it is read. */
export const fields: readonly Field[] = [
  { key: 'owner', word: 'Owner', kind: 'text', mayBeBlank: true },
  { key: 'street', word: 'Street', kind: 'text', mayBeBlank: true },
  { key: 'kind', word: 'Kind', kind: 'text' },
  { key: 'seatElevationM', word: 'Seat', ...elevation, ...measured },
  { key: 'seatGradientEast', word: 'Seat rises eastward', ...slope },
  { key: 'seatGradientNorth', word: 'Seat rises northward', ...slope },
  {
    key: 'rimElevationM',
    word: 'Rim today',
    kind: 'elevation',
    ...measured,
  },
  { key: 'frameHeightM', word: 'Frame height', kind: 'small', above: 0, most: 2 },
  { key: 'rimDiameterM', word: 'Rim diameter', kind: 'small', above: 0, most: 5 },
  {
    key: 'setDownM',
    word: 'Set down below grade',
    kind: 'small',
    least: -0.5,
    most: 0.5,
  },
  {
    key: 'roadBearingDeg',
    word: 'Road bearing',
    kind: 'degrees',
    least: 0,
    most: 360,
    mayBeBlank: true,
    hint: "blank: the street's",
  },
  { key: 'adjustment', word: 'Adjusted by', kind: 'adjustment' },
  { key: 'located', word: 'Located', kind: 'yesNo' },
  { key: 'chimneyUnsound', word: 'Seat or chimney unsound', kind: 'yesNo' },
  { key: 'frameUnsound', word: 'Frame unsound', kind: 'yesNo' },
  { key: 'accessibleRoute', word: 'In an accessible route', kind: 'yesNo' },
  { key: 'structureDepthM', word: 'Rim to invert', kind: 'elevation', mayBeBlank: true },
  { key: 'structureDiameterM', word: 'Barrel diameter', kind: 'small', mayBeBlank: true },
];

export const fieldOf = (key: string): Field | undefined => fields.find((field) => field.key === key);

export const adjustmentWords = { rings: 'adjustment rings', telescoping: 'a screw or slide top' } as const;

const conditionKeys = ['located', 'chimneyUnsound', 'frameUnsound'] as const;
type ConditionKey = (typeof conditionKeys)[number];
const isConditionKey = (key: string): key is ConditionKey =>
  (conditionKeys as readonly string[]).includes(key);

type Value = string | number | boolean | null;

export const valueIn = (structure: Structure, key: FieldKey): Value =>
  isConditionKey(key) ? structure.condition[key] : structure[key];

/** Unit behind a field's name, blank where it has none. */
export function unitOf({ kind }: Field, units: Units): string {
  if (kind === 'small') return units.smallUnit;
  if (kind === 'elevation') return unitName(units);
  return kind === 'degrees' ? '°' : kind === 'percent' ? '%' : '';
}

/** A value as a person reads it, with its unit. */
export function say(field: Field, value: unknown, units: Units): string {
  if (value === null || value === undefined || value === '')
    return field.kind === 'yesNo' ? 'not known' : (field.blankWord ?? 'blank');
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (typeof value === 'number') {
    if (field.kind === 'small') return formatSmall(value, units.small);
    if (field.kind === 'elevation') return formatElevation(value, units.elevation);
    if (field.kind === 'degrees') return `${fixed(value, 1)}°`;
    if (field.kind === 'percent') return `${fixed(value * 100, 2)} %`;
  }
  if (field.kind === 'adjustment')
    return adjustmentWords[value as keyof typeof adjustmentWords] ?? String(value);
  return String(value);
}

/** What a field shows while it is changed: a bare number in its unit. What nobody touches is never sent. */
export function draftText(field: Field, value: Value, units: Units): string {
  if (value === null) return '';
  if (typeof value !== 'number') return String(value);
  if (field.kind === 'percent') return plain(value * 100, 3);
  if (field.kind === 'degrees') return plain(value, 2);
  const digits = field.kind === 'small' ? (units.smallUnit === 'in' ? 3 : 1) : 3;
  return plain(value / parseUnit(field, units), digits);
}

const plain = (value: number, digits: number) => String(Number(value.toFixed(digits)));

function parseUnit(field: Field, units: Units): number {
  return parseLength(`1 ${lengthUnit(field, units)}`) as number;
}

const lengthUnit = ({ kind }: Field, units: Units): LengthUnit =>
  kind === 'small' ? units.smallUnit : units.elevation;

/** Reads what was typed; a bare number is in the field's unit, another unit of length may be written. */
export function readField(field: Field, text: string, units: Units): Typed<Value> {
  const wanted = text.trim();
  if (field.kind === 'yesNo') return { value: wanted === '' ? null : wanted === 'true' };
  if (wanted === '') return field.mayBeBlank ? { value: null } : { fault: 'cannot be blank' };
  if (field.kind === 'text' || field.kind === 'adjustment')
    return wanted.length > 100 ? { fault: 'takes 100 letters at most' } : { value: wanted };
  const found = readNumber(field, wanted, units);
  return 'fault' in found ? found : withinLimits(field, found.value, units);
}

function readNumber(field: Field, text: string, units: Units): Typed<number> {
  if (field.kind === 'degrees' || field.kind === 'percent') {
    const value = Number(text.replace(/[°%]$/, '').replace('−', '-'));
    if (!Number.isFinite(value)) return { fault: `"${text}" is not a number` };
    return { value: field.kind === 'percent' ? value / 100 : value };
  }
  const found = parseLength(/[a-z"'″′]/i.test(text) ? text : `${text} ${lengthUnit(field, units)}`);
  return typeof found === 'number' ? { value: found } : { fault: `"${text}" is ${found.message}` };
}

function withinLimits(field: Field, value: number, units: Units): Typed<number> {
  const { above, least, most } = field;
  if (above !== undefined && value <= above)
    return { fault: `has to be more than ${say(field, above, units)}` };
  if (least !== undefined && value < least)
    return { fault: `has to be at least ${say(field, least, units)}` };
  if (most !== undefined && value > most) return { fault: `can be ${say(field, most, units)} at most` };
  return { value };
}

export type Draft = Partial<Record<FieldKey, string>>;
export type FieldFaults = Partial<Record<FieldKey, string>>;

/** The patch that a draft comes to, or what is wrong with it, field by field. Only what was touched is in it. */
export function patchOf(
  structure: Structure,
  draft: Draft,
  units: Units,
): { patch: StructurePatch } | { faults: FieldFaults } {
  const patch: Record<string, unknown> = {};
  const faults: FieldFaults = {};
  for (const field of fields) {
    const text = draft[field.key];
    if (text === undefined || text === textOf(field, structure, units)) continue;
    const read = readField(field, text, units);
    if ('fault' in read) faults[field.key] = read.fault;
    else if (isConditionKey(field.key))
      patch.condition = { ...structure.condition, ...(patch.condition as object), [field.key]: read.value };
    else patch[field.key] = read.value;
  }
  return Object.keys(faults).length > 0 ? { faults } : { patch: patch as StructurePatch };
}

/** The text of a field before anybody touched it. */
export const textOf = (field: Field, structure: Structure, units: Units): string =>
  draftText(field, valueIn(structure, field.key), units);
