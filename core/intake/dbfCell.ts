import { viewOf } from './byteWindow.ts';
import type { Decode } from './codePage.ts';
import type { CellValue } from './columnTypes.ts';
import type { LayerColumn } from './types.ts';

export interface DbfField {
  name: string;
  /** `C` text, `N` and `F` numbers as text, `L` logical, `D` date, `I` and `+` whole, `B` and `O` double. */
  type: string;
  offset: number;
  length: number;
  columnType: LayerColumn['type'];
}

export type DbfProblem = (column: string, code: string, value: string, message: string) => void;

const decimal = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;

/** One value of a record. Blanks and overflow marks (`****`) are null, never 0. */
export function readCell(
  record: Uint8Array,
  field: DbfField,
  decode: Decode,
  problem: DbfProblem,
): CellValue {
  const bytes = record.subarray(field.offset, field.offset + field.length);
  switch (field.type) {
    case 'N':
    case 'F':
      return numberOf(plainText(bytes), field.name, problem);
    case 'L':
      return logicalOf(bytes[0]);
    case 'D':
      return dateOf(plainText(bytes));
    case 'I':
      return bytes.length === 4 ? viewOf(bytes).getInt32(0, true) : null;
    case '+':
      // dBASE 7 keeps whole numbers high byte first with the sign bit turned over.
      return bytes.length === 4 ? (viewOf(bytes).getUint32(0) ^ 0x80000000) | 0 : null;
    case 'B':
    case 'O':
      return bytes.length === 8 ? finite(viewOf(bytes).getFloat64(0, field.type === 'B')) : null;
    case 'C':
    case 'V':
      return textOf(bytes, decode);
    default:
      return null;
  }
}

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

function textOf(bytes: Uint8Array, decode: Decode): string | null {
  const zero = bytes.indexOf(0);
  const text = decode(zero < 0 ? bytes : bytes.subarray(0, zero)).trim();
  return text === '' ? null : text;
}

function plainText(bytes: Uint8Array): string {
  let text = '';
  for (const byte of bytes) if (byte !== 0) text += String.fromCharCode(byte);
  return text.trim();
}

function numberOf(text: string, column: string, problem: DbfProblem): CellValue {
  if (text === '' || /^\*+$/.test(text)) return null;
  const written = text.includes('.') ? text : text.replace(',', '.');
  if (!decimal.test(written)) {
    problem(column, 'notANumber', text, 'not a number; left blank');
    return null;
  }
  const value = Number(written);
  if (!Number.isFinite(value)) {
    problem(column, 'notANumber', text, 'out of all range; left blank');
    return null;
  }
  return Number.isInteger(value) && !Number.isSafeInteger(value) && /^\d+$/.test(written) ? written : value;
}

function logicalOf(byte: number): boolean | null {
  const letter = String.fromCharCode(byte).toUpperCase();
  if ('TY1'.includes(letter)) return true;
  return 'FN0'.includes(letter) ? false : null;
}

/** `YYYYMMDD` as `YYYY-MM-DD`; anything else as written. */
function dateOf(text: string): string | null {
  if (text === '' || /^0+$/.test(text)) return null;
  const match = /^(\d{4})(\d\d)(\d\d)$/.exec(text);
  return match ? `${match[1]}-${match[2]}-${match[3]}` : text;
}
