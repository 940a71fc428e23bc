import { fiveNumbers } from '#core/register/quartiles.ts';
import type { ChimneyLimit } from '#shared/outlook.ts';
import type { Histogram, ProjectPlots, StreetRemaining } from '#shared/plots.ts';
import type { Database } from './store/database.ts';
import {
  type BinCounts,
  countBuildupByStreet,
  countDistributions,
  type StreetBuildup,
} from './store/plots.ts';
import type { ProjectHead } from './store/projects.ts';

/** Widths that people of a unit read, metres: rim errors are held to a tolerance of a quarter inch or so. */
const binWidths = {
  in: { netBuildup: 0.5 * 0.0254, worst: 0.0254 / 32 },
  mm: { netBuildup: 0.01, worst: 0.001 },
};

/** So many bins are drawn; what lies beyond is counted at either end. */
const mostBins = 120;
/** Streets by tenths of a millimetre, which heights are not known to. */
const stepM = 0.0001;
const mostStreets = 500;

export async function readPlots(
  { kysely }: Database,
  project: ProjectHead,
  limit: ChimneyLimit,
): Promise<ProjectPlots> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const unit = project.displayUnit;
  const widths = binWidths[unit];
  const [{ netBuildup, worst, nights }, heights] = await Promise.all([
    countDistributions(kysely, key, widths),
    countBuildupByStreet(kysely, key, stepM),
  ]);
  const streets = toStreets(heights, limit.valueM);
  return {
    netBuildup: toHistogram(netBuildup, unit, widths.netBuildup),
    worst: toHistogram(worst, unit, widths.worst),
    limit,
    remainingByStreet: streets.slice(0, mostStreets),
    streetCount: streets.length,
    nights,
  };
}

export function toHistogram(counts: BinCounts, unit: Histogram['unit'], binM: number): Histogram {
  const unknown = counts.filter(({ bin }) => bin === null).reduce((sum, { covers }) => sum + covers, 0);
  const known = counts
    .flatMap(({ bin, covers }) => (bin === null ? [] : [{ value: bin, count: covers }]))
    .sort((a, b) => a.value - b.value);
  const five = fiveNumbers(known);
  if (!five) return { unit, binM, bins: [], below: 0, above: 0, unknown, medianM: null };
  const middle = Math.round(five.median);
  const first = Math.max(five.least, middle - mostBins / 2);
  const last = Math.min(five.greatest, first + mostBins - 1);
  const byBin = new Map(known.map(({ value, count }) => [value, count]));
  const bins = Array.from({ length: last - first + 1 }, (_, index) => ({
    fromM: (first + index) * binM,
    toM: (first + index + 1) * binM,
    covers: byBin.get(first + index) ?? 0,
  }));
  const beyond = (isBeyond: (bin: number) => boolean) =>
    known.filter(({ value }) => isBeyond(value)).reduce((sum, { count }) => sum + count, 0);
  return {
    unit,
    binM,
    bins,
    below: beyond((bin) => bin < first),
    above: beyond((bin) => bin > last),
    unknown,
    medianM: (five.median + 0.5) * binM,
  };
}

function toStreets(heights: readonly StreetBuildup[], maxChimneyM: number): StreetRemaining[] {
  const streets = heights.map((height) => toStreet(height, maxChimneyM));
  // Streets of which nothing is known come last.
  return streets.sort((a, b) => (a.medianM ?? Infinity) - (b.medianM ?? Infinity) || b.covers - a.covers);
}

function toStreet({ street, steps, unknown }: StreetBuildup, maxChimneyM: number): StreetRemaining {
  const remaining = steps.map((step) => ({ value: maxChimneyM - step * stepM, count: 1 })).reverse();
  const five = fiveNumbers(remaining);
  return {
    street,
    covers: remaining.length + unknown,
    unknown,
    pastLimit: remaining.filter(({ value }) => value < -stepM / 2).length,
    leastM: five?.least ?? null,
    lowerQuartileM: five?.lowerQuartile ?? null,
    medianM: five?.median ?? null,
    upperQuartileM: five?.upperQuartile ?? null,
    greatestM: five?.greatest ?? null,
  };
}
