import type { RingFact } from '#core/field/facts.ts';
import { makeHoleSolver } from '#core/stack/atTheHole.ts';
import type { StackTarget } from '#core/stack/rigid.ts';
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

function catalogueOf(card: CoverCard): RingCatalogue | null {
  const { ringCatalogue: catalogue, limits } = card;
  if (catalogue === null) return null;
  return {
    unit: catalogue.unit,
    rings: ringsOf(catalogue),
    indexPositions: catalogue.indexPositions,
    indexFrom: catalogue.indexFrom,
    maxRings: limits.maxRings.value ?? catalogue.maxRings,
    maxChimney: limits.maxChimneyM.value ?? catalogue.maxChimneyM,
    joint: { base: catalogue.joint.baseM, between: catalogue.joint.betweenM, top: catalogue.joint.topM },
  };
}

/** The best stack of what is there, bottom-up; null without a ring catalogue that can be searched. */
export function solveHere(card: CoverCard, { target, truck, joint }: With): HoleSolution | null {
  const catalogue = catalogueOf(card);
  const solver = catalogue && makeHoleSolver(catalogue, { truck, joint });
  if (!catalogue || !solver || 'code' in solver) return null;
  const bearing = radians(card.roadBearingDeg ?? 0);
  const markBearing = catalogue.indexFrom === 'road' ? bearing : 0;
  const { best } = solver.solveFor(
    { ...target, markBearing },
    { planned: [], objective: card.limits.objective.value, bearing },
  );
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
