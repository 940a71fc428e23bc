import type { Problem } from '../problem.ts';
import { ByteWindow, viewOf } from './byteWindow.ts';
import { refuseFile } from './problemLog.ts';
import { readShpGeometry, type ShpGeometry } from './shpGeometry.ts';
import type { ByteSource, Layer } from './types.ts';

const fileCode = 9994;
const headerBytes = 100;
/** One shape larger than this is no cover and no street. */
const mostRecordBytes = 8 << 20;

export interface ShpFile {
  geometry: Layer['geometry'];
  /** Records by the index (.shx); null without one. */
  indexed: number | null;
  notes: readonly Problem[];
  /** Shapes in order; ends where the file cannot be followed any further. */
  shapes(report: (problem: Problem) => void): AsyncGenerator<ShpGeometry>;
}

/** Opens the shapes and, where it is there, their index, which only helps over gaps between records. */
export async function openShp(source: ByteSource, index: ByteSource | null): Promise<ShpFile | Problem> {
  const window = new ByteWindow(source);
  const head = await window.read(0, headerBytes);
  if (head.length < headerBytes || viewOf(head).getInt32(0) !== fileCode)
    return refuseFile('notShapefile', `${source.name} is not a shapefile: its first bytes are others`);
  const geometry = geometryOf(viewOf(head).getInt32(32, true));
  const claimed = viewOf(head).getInt32(24) * 2;
  const notes: Problem[] = [];
  if (claimed !== source.size)
    notes.push(
      refuseFile(
        'sizesDisagree',
        `${source.name} says it has ${claimed} bytes but has ${source.size}; it may be cut off`,
      ),
    );
  const entries = index === null ? null : await openIndex(index, source.name, notes);
  return {
    geometry,
    indexed: entries?.count ?? null,
    notes,
    shapes: (report) => shapes(source, entries, report),
  };
}

function geometryOf(type: number): Layer['geometry'] {
  if ([1, 11, 21, 8, 18, 28].includes(type)) return 'point';
  if ([3, 13, 23].includes(type)) return 'line';
  if ([5, 15, 25].includes(type)) return 'polygon';
  return type === 0 ? 'none' : 'mixed';
}

interface ShpIndex {
  count: number;
  /** Byte at which a record starts. */
  offset(record: number): Promise<number>;
}

async function openIndex(index: ByteSource, name: string, notes: Problem[]): Promise<ShpIndex | null> {
  const window = new ByteWindow(index);
  const head = await window.read(0, headerBytes);
  if (head.length < headerBytes || viewOf(head).getInt32(0) !== fileCode) {
    notes.push(
      refuseFile('indexUnusable', `the index of ${name} is not one; the shapes are read without it`),
    );
    return null;
  }
  return {
    count: Math.floor((index.size - headerBytes) / 8),
    offset: async (record) => viewOf(await window.read(headerBytes + record * 8, 8)).getInt32(0) * 2,
  };
}

async function* shapes(
  source: ByteSource,
  index: ShpIndex | null,
  report: (problem: Problem) => void,
): AsyncGenerator<ShpGeometry> {
  const window = new ByteWindow(source);
  let follow = index;
  let at = headerBytes;
  for (let record = 0; follow ? record < follow.count : at + 8 <= source.size; record++) {
    const row = record + 1;
    const indexed: number = follow ? await follow.offset(record) : at;
    if (indexed >= at && indexed + 8 <= source.size) at = indexed;
    else {
      follow = null;
      report({
        code: 'indexUnusable',
        row,
        column: null,
        value: String(indexed),
        message: 'the index points outside the shapes or back; they are read one after the other from here',
      });
      if (at + 8 > source.size) return;
    }
    const length = viewOf(await window.read(at, 8)).getInt32(4) * 2;
    if (length < 0 || at + 8 + length > source.size) {
      report({
        code: 'truncated',
        row,
        column: null,
        value: String(length),
        message: 'the record runs past the end of the file; this and all that follow are missing',
      });
      return;
    }
    if (length > mostRecordBytes) yield { parts: [], fault: `larger than ${mostRecordBytes >> 20} MB` };
    else yield readShpGeometry(await window.read(at + 8, length));
    at += 8 + length;
  }
}
