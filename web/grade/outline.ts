import { faultOfRing } from '#core/treatment/polygon.ts';
import type { LineFeature } from '#shared/line.ts';
import type { ZoneGeometry } from '#shared/treatment.ts';
import { flatFrom } from '../imports/frame.ts';

export type Corner = [lon: number, lat: number];

/** Corners of an outline drawn by hand, the first not repeated, as GeoJSON. */
export function polygonOf(corners: readonly Corner[]): ZoneGeometry {
  return { type: 'Polygon', coordinates: [[...corners, corners[0]].map(([lon, lat]) => [lon, lat])] };
}

/** Why an outline bounds no zone, in words; null where it does. The server judges again, in the project's grid. */
export function faultOfOutline(corners: readonly Corner[]): string | null {
  if (corners.length < 3) return `A zone has three corners or more; ${corners.length} so far.`;
  const flat = flatFrom(corners[0]);
  const ring = [...corners, corners[0]].map((corner) => [...flat(corner)] as [number, number]);
  const fault = faultOfRing(ring);
  return fault && `The outline ${fault}.`;
}

/** Corners that can be drawn anew; null for a zone of several parts or with holes, whose outline came from a file. */
export function cornersOf(geometry: ZoneGeometry): Corner[] | null {
  if (geometry.type !== 'Polygon' || geometry.coordinates.length !== 1) return null;
  return geometry.coordinates[0].slice(0, -1).map(([lon, lat]) => [lon, lat]);
}

/** The outline that a line bounds: its corners without the repeated end. Null for a line of fewer than three. */
export function outlineOfLine({ geometry }: LineFeature): Corner[] | null {
  const corners = geometry.coordinates.map(([lon, lat]): Corner => [lon, lat]);
  const last = corners.at(-1);
  if (last && corners.length > 1 && last[0] === corners[0][0] && last[1] === corners[0][1]) corners.pop();
  return corners.length < 3 ? null : corners;
}

/** An id for a name that nothing else of its kind has: `Mill and fill, east` as `mill-and-fill-east`. */
export function idFrom(name: string, taken: readonly string[], otherwise = 'zone'): string {
  const plain =
    name
      .normalize('NFKD')
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '')
      .slice(0, 40) || otherwise;
  for (let number = 1; ; number++) {
    const id = number === 1 ? plain : `${plain}-${number}`;
    if (!taken.includes(id)) return id;
  }
}
