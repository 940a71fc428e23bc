import { faultOfRing } from '#core/treatment/polygon.ts';
import type { ZoneGeometry } from '#shared/treatment.ts';
import { badField } from './http-problem.ts';
import type { LonLatPolygon } from './store/selection.ts';

/** A drawn area, looked over. Throws a problem that names the ring. Sides are straight in longitude and latitude. */
export function readArea(geometry: ZoneGeometry, path: string): LonLatPolygon[] {
  const several = geometry.type === 'MultiPolygon';
  const polygons = several ? geometry.coordinates : [geometry.coordinates];
  return polygons.map((polygon, p) =>
    polygon.map((ring, r) => {
      const at = `${path}/coordinates/${several ? `${p}/` : ''}${r}`;
      const corners = ring.map(([lon, lat]): [number, number] => [lon, lat]);
      const fault = faultOf(corners);
      if (fault) throw badField(at, fault);
      return corners;
    }),
  );
}

/** Corners "lon,lat lon,lat ..." as an address has them; the first one need not come again. */
export function readCorners(text: string, path: string): LonLatPolygon[] {
  const corners = text
    .trim()
    .split(/\s+/)
    .map((corner): [number, number] => {
      const parts = corner.split(',').map((part) => (part === '' ? Number.NaN : Number(part)));
      if (parts.length !== 2 || !parts.every(Number.isFinite))
        throw badField(path, 'must be corners "lon,lat" with blanks between them', corner);
      return [parts[0], parts[1]];
    });
  const [first, last] = [corners[0], corners[corners.length - 1]];
  if (first[0] !== last[0] || first[1] !== last[1]) corners.push(first);
  const fault = faultOf(corners);
  if (fault) throw badField(path, fault);
  return [[corners]];
}

const metresPerDegree = 111_320;

function faultOf(corners: readonly [number, number][]): string | null {
  const outside = corners.find(([lon, lat]) => Math.abs(lon) > 180 || Math.abs(lat) > 90);
  if (outside) return `has a corner that is no longitude and latitude: ${outside}`;
  const flat = Math.cos((corners[0][1] * Math.PI) / 180) * metresPerDegree;
  return faultOfRing(corners.map(([lon, lat]): [number, number] => [lon * flat, lat * metresPerDegree]));
}
