import type { Feature, Point } from 'geojson';
import type { Projection } from '#core/crs/crs.ts';
import { sayReason } from '#core/decision/words.ts';
import type { Cover, CoverPlan } from '#core/plan/types.ts';
import type { PlacedRing, Residual, RingCatalogue } from '#core/stack/types.ts';
import type { ElevationUnit } from '#core/units/format.ts';
import { metresPer } from '#core/units/length.ts';

/** What turns a plan in metres into the units of its files. */
export interface PlanEdge {
  catalogue: RingCatalogue;
  projection: Projection;
  /** Metres in one unit of the CRS's axes, also that of the elevations. */
  metresPerUnit: number;
}

const degrees = (radians: number) => (radians * 180) / Math.PI;

/** One plan as a GeoJSON feature: elevations in the unit of the shots, ring sizes in the catalogue's, unrounded. */
export function planFeature(cover: Cover, plan: CoverPlan, edge: PlanEdge): Feature<Point> {
  const { catalogue, projection, metresPerUnit } = edge;
  const ringUnit = metresPer[catalogue.unit];
  const rings = (stack: PlacedRing[]) =>
    stack.map(({ ring, azimuth }) => ({ ring, azimuthDeg: azimuth === null ? null : degrees(azimuth) }));
  const residual = ({ worst, centre, tilt }: Residual) => ({
    worst: worst / ringUnit,
    centre: centre / ringUnit,
    tilt: tilt / ringUnit,
  });
  const elevation: ElevationUnit = metresPerUnit === 1 ? 'm' : metresPerUnit === 0.3048 ? 'ft' : 'us-ft';
  const words = { small: catalogue.unit === 'in' ? 'decimalInches' : 'millimetres', elevation } as const;
  const { finished, runnerUp } = plan;
  return {
    type: 'Feature',
    id: cover.id,
    geometry: { type: 'Point', coordinates: projection.toLonLat(cover.east, cover.north) },
    properties: {
      id: cover.id,
      status: plan.status,
      reasons: plan.reasons.map((r) => sayReason(r, words)),
      finished: finished && {
        elevation: finished.elevation / metresPerUnit,
        gradientEast: finished.gradient[0],
        gradientNorth: finished.gradient[1],
        sigma: finished.sigma / ringUnit,
        sigmaRim: finished.sigmaRim / ringUnit,
        method: finished.method,
        shotsUsed: finished.shotsUsed,
        surface: finished.surface,
      },
      netBuildup: plan.netBuildup === null ? null : plan.netBuildup / ringUnit,
      stack: rings(plan.stack),
      residual: plan.residual && residual(plan.residual),
      allowance: plan.allowance,
      runnerUp: runnerUp && {
        stack: rings(runnerUp.stack),
        residual: residual(runnerUp.residual),
        allowance: runnerUp.allowance,
      },
    },
  };
}
