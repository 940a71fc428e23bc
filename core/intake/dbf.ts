import type { Problem } from '../problem.ts';
import { counted } from '../units/count.ts';
import { ByteWindow, viewOf } from './byteWindow.ts';
import {
  type Decode,
  decoderOf,
  guessingDecoder,
  isSingleByte,
  pageOfLanguageDriver,
  preferringUtf8,
} from './codePage.ts';
import { type CellValue, mostColumns } from './columnTypes.ts';
import { type DbfField, type DbfProblem, readCell } from './dbfCell.ts';
import { refuseFile, shorten } from './problemLog.ts';
import type { ByteSource, LayerColumn } from './types.ts';

/**
 * A dBASE table (the attributes of a shapefile). Source: dBASE III to 7 table file structure, as in the Library of
 * Congress description fdd000325 and ESRI's Shapefile Technical Description (July 1998).
 */
export interface DbfTable {
  columns: readonly LayerColumn[];
  /** Records that the file really holds, deleted ones included. */
  records: number;
  notes: readonly Problem[];
  /** Values of a record in the order of the columns; null where it is marked as deleted. */
  read(record: number, report: (problem: Problem) => void): Promise<CellValue[] | null>;
}

const fieldBytes = 32;
const endOfFields = 0x0d;
const deleted = 0x2a;

/** @param codePage text of the .cpg file beside it, if any */
export async function openDbf(source: ByteSource, codePage: string | null): Promise<DbfTable | Problem> {
  const window = new ByteWindow(source);
  const head = await window.read(0, fieldBytes);
  if (head.length < fieldBytes)
    return refuseFile('truncated', `${source.name} is too short for a dBASE table`);
  const view = viewOf(head);
  const claimed = view.getUint32(4, true);
  const headerBytes = view.getUint16(8, true);
  const recordBytes = view.getUint16(10, true);
  const driver = head[29];
  if (headerBytes <= fieldBytes || headerBytes > source.size || recordBytes === 0)
    return refuseFile('notDbf', `${source.name} is not a dBASE table: its header does not fit the file`);
  const { decode, notes, isOther } = decoderFor(source.name, codePage, driver);
  let said = false;
  const fields = fieldsOf((await window.read(0, headerBytes)).slice(), decode);
  const used = fields.reduce((sum, { length }) => sum + length, 1);
  if (fields.length === 0 || used > recordBytes)
    return refuseFile('notDbf', `${source.name} is not a dBASE table: its fields do not fit its records`);
  if (fields.length > mostColumns)
    return refuseFile(
      'columnCount',
      `${source.name} has more than ${mostColumns} columns; no register has that many`,
    );
  const held = Math.floor((source.size - headerBytes) / recordBytes);
  const records = Math.min(claimed, held);
  if (claimed > held)
    notes.push(
      refuseFile('truncated', `${source.name} claims ${counted(claimed, 'record')} but holds ${held}`),
    );
  return {
    columns: fields.map(({ name, columnType }) => ({ name, type: columnType })),
    records,
    notes,
    async read(record, report) {
      const bytes = await window.read(headerBytes + record * recordBytes, recordBytes);
      if (bytes[0] === deleted) return null;
      const cell: DbfProblem = (column, code, value, message) =>
        report({ code, row: record + 1, column, value: shorten(value), message });
      const values = fields.map((field) => readCell(bytes, field, decode, cell));
      if (!said && isOther()) {
        said = true;
        const message = `${source.name} states another code page, but its text is UTF-8; it is read as that: check names with accents`;
        report(refuseFile('codePage', message));
      }
      return values;
    },
  };
}

function decoderFor(
  name: string,
  codePage: string | null,
  driver: number,
): { decode: Decode; notes: Problem[]; isOther: () => boolean } {
  const stated = codePage === null ? null : decoderOf(codePage);
  const page = stated === null ? pageOfLanguageDriver(driver) : codePage;
  const plain = page === null ? null : decoderOf(page);
  let isOther = false;
  const notice = () => {
    isOther = true;
  };
  const decode =
    page === null || plain === null
      ? guessingDecoder()
      : isSingleByte(page)
        ? preferringUtf8(plain, notice)
        : plain;
  const notes: Problem[] = [];
  if (codePage !== null && codePage.trim() !== '' && stated === null)
    notes.push(refuseFile('codePage', `the code page beside ${name} is not known`, shorten(codePage.trim())));
  return { decode, notes, isOther: () => isOther };
}

function fieldsOf(header: Uint8Array, decode: Decode): DbfField[] {
  const fields: DbfField[] = [];
  const names = new Set<string>();
  let offset = 1;
  for (
    let at = fieldBytes;
    at + fieldBytes <= header.length && header[at] !== endOfFields;
    at += fieldBytes
  ) {
    const raw = header.subarray(at, at + 11);
    const end = raw.indexOf(0);
    const plainName = decode(end < 0 ? raw : raw.subarray(0, end)).trim() || `field ${fields.length + 1}`;
    const type = String.fromCharCode(header[at + 11]).toUpperCase();
    // Character fields longer than 255 keep the upper byte of their length where others keep their decimals.
    const length = header[at + 16] + (type === 'C' ? header[at + 17] * 256 : 0);
    const name = names.has(plainName) ? `${plainName} (${fields.length + 1})` : plainName;
    names.add(name);
    const columnType = columnTypeOf(type, length, header[at + 17]);
    if (length > 0) fields.push({ name, type, offset, length, columnType });
    offset += length;
  }
  return fields;
}

function columnTypeOf(type: string, length: number, decimals: number): LayerColumn['type'] {
  if (type === 'L') return 'boolean';
  // Wide whole numbers are ids: those past 2^53 stay text.
  if (type === 'N' && decimals === 0 && length > 15) return 'mixed';
  return 'NFIBO+'.includes(type) ? 'number' : 'text';
}
