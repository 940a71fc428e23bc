import { roundStep } from '#core/drawing/scale.ts';
import type { CoverRow } from '#shared/cover.ts';

export interface StreetCover {
  row: CoverRow;
  station: number;
  /** Rim today minus finished grade, metres, + = proud; null where either is unknown. */
  rimError: number | null;
}

/** Covers of one street that have a station, along it. */
export function coversOf(rows: readonly CoverRow[], street: string | null): StreetCover[] {
  return rows
    .filter((row) => row.street === street && row.stationM !== null)
    .map((row) => ({ row, station: row.stationM!, rimError: row.rimErrorM }))
    .sort((a, b) => a.station - b.station);
}

/** Least and greatest station with a little air, metres. */
export function stationSpan(covers: readonly StreetCover[]): [number, number] {
  const stations = covers.map(({ station }) => station);
  const [low, high] = [Math.min(...stations), Math.max(...stations)];
  const air = Math.max(4, (high - low) * 0.015);
  return stations.length === 0 ? [0, 1] : [low - air, high + air];
}

/** Round height above and below grade that holds every known rim, in display units (in or mm). */
export function errorReach(covers: readonly StreetCover[], metresPerUnit: number): number {
  const largest = Math.max(
    0,
    ...covers.map(({ rimError }) => (rimError === null ? 0 : Math.abs(rimError / metresPerUnit))),
  );
  if (largest === 0) return 1;
  const step = roundStep(largest, 4);
  return Math.ceil(largest / step - 1e-9) * step;
}

/** Streets by how many covers of the project lie on them, most first. */
export function streetsOf(rows: readonly CoverRow[]): { street: string; count: number }[] {
  const count = new Map<string, number>();
  for (const { street, stationM } of rows) {
    if (street !== null && stationM !== null) count.set(street, (count.get(street) ?? 0) + 1);
  }
  return [...count]
    .map(([street, covers]) => ({ street, count: covers }))
    .sort((a, b) => b.count - a.count || a.street.localeCompare(b.street));
}
