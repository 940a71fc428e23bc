import { type CrsDefinition, insideArea, makeProjection } from '../../crs/crs.ts';
import type { Gathered } from './gathered.ts';

/** Where positions come to lie on the Earth under one reading of them. */
export interface Landing {
  /** Share of the positions inside the area. */
  inside: number;
  /** Their middle, degrees; null where the projection has no such place. */
  middle: { lon: number; lat: number } | null;
}

export interface Reading {
  swapped: boolean;
  /** Metres in one unit of the coordinates. */
  metresPerUnit: number;
}

/** The area of use is a rectangle to a hundredth of a degree; a place just outside it is no sign of a fault. */
const margin = 0.02;

export function land(
  gathered: Gathered,
  crs: CrsDefinition,
  { swapped, metresPerUnit }: Reading,
  area: CrsDefinition['area'] = crs.area,
): Landing {
  const { toLonLat } = makeProjection(crs);
  const wide = widened(area);
  const places: [number, number][] = [];
  for (const [x, y] of gathered.spread) {
    const [east, north] = swapped ? [y, x] : [x, y];
    const [lon, lat] = toLonLat(east * metresPerUnit, north * metresPerUnit);
    places.push([lon, lat]);
  }
  const inside = places.filter(([lon, lat]) => insideArea({ ...crs, area: wide }, lon, lat)).length;
  return {
    inside: places.length === 0 ? 0 : inside / places.length,
    middle: middleOf(places),
  };
}

/** Median of the places in both axes, to a tenth of a metre; null where most are no places on the Earth. */
export function middleOf(places: readonly (readonly number[])[]): Landing['middle'] {
  const finite = places.filter(([lon, lat]) => Math.abs(lon) <= 180 && Math.abs(lat) <= 90);
  if (finite.length === 0 || finite.length <= places.length / 2) return null;
  const middle = (axis: 0 | 1): number => {
    const sorted = finite.map((place) => place[axis]).sort((a, b) => a - b);
    return Number(sorted[sorted.length >> 1].toFixed(6)) + 0;
  };
  return { lon: middle(0), lat: middle(1) };
}

function widened({ west, south, east, north }: CrsDefinition['area']): CrsDefinition['area'] {
  return { west: west - margin, south: south - margin, east: east + margin, north: north + margin };
}

export const mostly = (landing: Landing): boolean => landing.inside > 0.5;
