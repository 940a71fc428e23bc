import { readWkb, type WkbGeometry } from './wkb.ts';

export interface GpkgGeometry extends WkbGeometry {
  srsId: number | null;
}

const headerBytes = 8;
/** Doubles of the envelope by its code: none, xy, xyz, xym, xyzm. */
const envelopeDoubles = [0, 4, 6, 6, 8];

/** Decodes a geometry blob of a GeoPackage. Source: OGC 12-128r19, 2.1.3 (GeoPackageBinary). */
export function readGpkgGeometry(blob: Uint8Array): GpkgGeometry {
  const fault = (message: string): GpkgGeometry => ({ srsId: null, parts: [], fault: message });
  if (blob.length < headerBytes || blob[0] !== 0x47 || blob[1] !== 0x50)
    return fault('it does not start as a GeoPackage geometry does');
  const flags = blob[3];
  const view = new DataView(blob.buffer, blob.byteOffset, blob.byteLength);
  const srsId = view.getInt32(4, (flags & 1) === 1);
  const doubles = envelopeDoubles[(flags >> 1) & 7];
  if (doubles === undefined) return fault('its envelope is of no known kind');
  if ((flags & 0x20) !== 0) return fault('it is of an extended type, which is not read');
  if ((flags & 0x10) !== 0) return { srsId, parts: [], fault: null };
  const start = headerBytes + doubles * 8;
  if (start > blob.length) return fault('it is too short for its envelope');
  return { srsId, ...readWkb(blob.subarray(start)) };
}
