import type { RingFact } from '#core/field/facts.ts';
import type { StackTarget } from '#core/stack/rigid.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { JointThickness, Residual, RingCatalogue } from '#core/stack/types.ts';
import { degrees, radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';
import { ringsOf } from '../../../figures.ts';
import type { Truck } from '../truck.ts';

export interface HoleSolution extends Residual {
  stack: RingFact[];
  chimney: number;
  isWithin: boolean;
}

interface With {
  target: StackTarget;
  truck: Truck;
  joint: JointThickness;
}

/** Rings that are there, in core's terms; no more of each than the truck has. */
function catalogueOf(card: CoverCard, truck: Truck, joint: JointThickness): RingCatalogue {
  const catalogue = card.ringCatalogue!;
  return {
    unit: catalogue.unit,
    rings: ringsOf(catalogue)
      .map((ring) => ({
        ...ring,
        maxPerStack: Math.min(ring.maxPerStack, truck?.[ring.id] ?? (truck ? 0 : 99)),
      }))
      .filter(({ maxPerStack }) => maxPerStack > 0),
    indexPositions: catalogue.indexPositions,
    indexFrom: catalogue.indexFrom,
    maxRings: card.limits.maxRings.value ?? catalogue.maxRings,
    maxChimney: card.limits.maxChimneyM.value ?? catalogue.maxChimneyM,
    joint,
  };
}

/** The best stack of what is there, bottom-up; null without a ring catalogue. */
export function solveHere(card: CoverCard, { target, truck, joint }: With): HoleSolution | null {
  const { ringCatalogue, roadBearingDeg, limits } = card;
  if (ringCatalogue === null) return null;
  const markBearing = ringCatalogue.indexFrom === 'road' ? radians(roadBearingDeg ?? 0) : 0;
  const solver = makeSolver(catalogueOf(card, truck, joint));
  const { best } = solver.solve({ ...target, markBearing }, limits.objective.value);
  return {
    ...best.residual,
    stack: best.stack.map(({ ring, azimuth }) => ({
      ring,
      azimuthDeg: azimuth === null ? null : degrees(azimuth),
    })),
    chimney: best.chimney,
    isWithin: best.withinTolerance,
  };
}
