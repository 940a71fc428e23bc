import { viewOf } from './byteWindow.ts';
import { groupRings } from './rings.ts';
import { position } from './thirdOrdinate.ts';
import type { RawGeometry, RawPosition } from './types.ts';

/** What a record of a .shp holds; `fault` where it cannot be read. */
export interface ShpGeometry {
  parts: RawGeometry[];
  fault: string | null;
}

const empty: ShpGeometry = { parts: [], fault: null };
const fault = (message: string): ShpGeometry => ({ parts: [], fault: message });

/**
 * The content of one record (without its header of eight bytes), whatever type the file's header names.
 * Source: ESRI Shapefile Technical Description, July 1998.
 */
export function readShpGeometry(content: Uint8Array): ShpGeometry {
  if (content.length < 4) return fault('the record is too short');
  const view = viewOf(content);
  const type = view.getInt32(0, true);
  switch (type) {
    case 0:
      return empty;
    case 1:
    case 11:
    case 21:
      return pointOf(view, type === 11);
    case 8:
    case 18:
    case 28:
      return multiPointOf(view, type === 18);
    case 3:
    case 13:
    case 23:
    case 5:
    case 15:
    case 25:
      return partsOf(view, type % 10 === 5, type === 13 || type === 15);
    default:
      return fault(type === 31 ? 'multipatch shapes are not read' : `shape type ${type} is not known`);
  }
}

function pointOf(view: DataView, hasZ: boolean): ShpGeometry {
  if (view.byteLength < (hasZ ? 28 : 20)) return fault('the record is too short for its point');
  const at = position(
    view.getFloat64(4, true),
    view.getFloat64(12, true),
    hasZ ? view.getFloat64(20, true) : null,
  );
  return at === null
    ? fault('its coordinates are no numbers')
    : { parts: [{ type: 'point', position: at }], fault: null };
}

function multiPointOf(view: DataView, hasZ: boolean): ShpGeometry {
  const positions = view.byteLength < 40 ? null : positionsOf(view, view.getUint32(36, true), 40, hasZ);
  if (positions === null)
    return fault('its number of points does not fit the record, or they are no numbers');
  return { parts: positions.map((at) => ({ type: 'point', position: at })), fault: null };
}

function partsOf(view: DataView, closed: boolean, hasZ: boolean): ShpGeometry {
  if (view.byteLength < 44) return fault('the record is too short');
  const partCount = view.getUint32(36, true);
  const pointCount = view.getUint32(40, true);
  if (partCount === 0 && pointCount === 0) return empty;
  if (partCount > pointCount || 44 + partCount * 4 > view.byteLength)
    return fault('its number of parts does not fit the record');
  const positions = positionsOf(view, pointCount, 44 + partCount * 4, hasZ);
  if (positions === null)
    return fault('its number of points does not fit the record, or they are no numbers');
  const starts = Array.from({ length: partCount }, (_, part) => view.getUint32(44 + part * 4, true));
  starts.push(pointCount);
  if (starts[0] !== 0 || starts.some((start, part) => part > 0 && start <= starts[part - 1]))
    return fault('its parts are out of order');
  const pieces = starts.slice(1).map((end, part) => positions.slice(starts[part], end));
  const least = closed ? 4 : 2;
  if (pieces.some((piece) => piece.length < least)) return fault(`a part has fewer than ${least} points`);
  const parts: RawGeometry[] = closed
    ? groupRings(pieces).map((rings) => ({ type: 'polygon', rings }))
    : pieces.map((piece) => ({ type: 'line', positions: piece }));
  return { parts, fault: null };
}

/** Points at `offset`; their Z stand after all of them and after the range of Z. */
function positionsOf(view: DataView, count: number, offset: number, hasZ: boolean): RawPosition[] | null {
  const heights = offset + count * 16 + 16;
  if (offset + count * 16 > view.byteLength || (hasZ && heights + count * 8 > view.byteLength)) return null;
  const positions: RawPosition[] = [];
  for (let i = 0; i < count; i++) {
    const at = position(
      view.getFloat64(offset + i * 16, true),
      view.getFloat64(offset + i * 16 + 8, true),
      hasZ ? view.getFloat64(heights + i * 8, true) : null,
    );
    if (at === null) return null;
    positions.push(at);
  }
  return positions;
}
