import type { Cover, PlanningStatus, Reason } from '../plan/types.ts';
import { type Solution, toleranceSlack } from '../stack/solve.ts';
import type { RingCatalogue } from '../stack/types.ts';
import { overhangs } from '../surface/finished.ts';
import type { FinishedGrade } from '../surface/types.ts';
import type { RimAgainstGrade } from './rim.ts';

/** What a decision on a cover with a finished grade is made from. Lengths in metres. */
export interface Facts {
  cover: Cover;
  catalogue: RingCatalogue;
  tolerance: number;
  /** Twice the survey's sigma at the rim; 0 when the allowance is off. */
  allowance: number;
  rim: RimAgainstGrade | null;
  /** null where the seat was never measured: then nobody knows what rings have to make up. */
  stack: { netBuildup: number; best: Solution } | null;
  /** A line runs under the rim: the finished grade is a compromise. */
  overLine: boolean;
  /** The shots about it fall into two surfaces, and nobody knows which is the street; see `splitOf`. */
  split: Reason | null;
  /** How far the rim stands out past the shots that its plane rests on. */
  overhang: number;
}

export interface Decision {
  status: PlanningStatus;
  reasons: Reason[];
}

const reason = (code: string, values: Reason['values'] = {}): Reason => ({ code, values });

/** Rows A1 to A3: what the state of the structure decides, however well its surface is known. */
export function decideByCondition({ condition }: Cover): Decision | null {
  if (condition.located === false) return { status: 'review', reasons: [reason('notLocated')] };
  if (condition.chimneyUnsound) return { status: 'rebuild', reasons: [reason('chimneyUnsound')] };
  if (condition.frameUnsound) return { status: 'review', reasons: [reason('frameUnsound')] };
  return null;
}

/** A ring stands on the seat: without its elevation there is no height to fill, and a guess would be cut from. */
export const seatUnknown = ({ rimElevation }: Pick<Cover, 'rimElevation'>): Reason =>
  reason('seatUnknown', { rim: rimElevation === null ? 'unknown' : 'known' });

/** Shots left out that lie within so many deviations of one another were lifted alike. */
const alike = 5;

/**
 * Shots left out that are no single blunders: a third or more of all that are near, or three and more in one shift, as a
 * wrong rod height gives. Which of the two surfaces is the street, the shots do not say. `sigma`: of one shot, metres.
 */
export function splitOf(
  { shotsUsed, rejected }: Pick<FinishedGrade, 'shotsUsed' | 'rejected'>,
  sigma: number,
): Reason | null {
  const count = rejected.length;
  const near = shotsUsed + count;
  const residuals = rejected.map(({ residual }) => residual).sort((a, b) => a - b);
  const [lowest, highest] = [residuals[0], residuals[count - 1]];
  const isOneShift = count >= 3 && lowest * highest > 0 && highest - lowest <= alike * sigma;
  if (isOneShift) {
    const by = (lowest + highest) / 2;
    return reason('shotsShifted', { count, near, by: Math.abs(by), side: by > 0 ? 'high' : 'low' });
  }
  if (count < 2 || 3 * count < near) return null;
  return reason('shotsDisagree', { count, near, worst: Math.max(-lowest, highest) });
}

/**
 * The decision table's rows from A1 on, for a cover whose finished grade is good enough to decide on.
 * First match wins; rows that only add something follow in the reasons.
 */
export function decide(facts: Facts): Decision {
  const { cover, tolerance, rim, stack } = facts;
  const byCondition = decideByCondition(cover);
  if (byCondition) return byCondition;
  if (facts.overLine) return { status: 'review', reasons: [reason('overLine')] };
  if (facts.split) return { status: 'review', reasons: [facts.split] };
  if (overhangs(facts, cover.rimRadius))
    return { status: 'review', reasons: [reason('overhang', { by: facts.overhang })] };
  const inTolerance = rim !== null && Math.abs(rim.centre) <= tolerance;
  if (inTolerance && rim.worst !== null && rim.worst <= tolerance)
    return { status: 'leave', reasons: leaves(facts, rim.worst, rim.shots) };
  if (inTolerance && rim.worst === null)
    return { status: 'review', reasons: [reason('askStraightedge', { centre: rim.centre, tolerance })] };
  if (cover.adjustment === 'telescoping')
    return { status: direction(rim), reasons: [...moves(rim), reason('telescoping')] };
  if (stack === null) return { status: 'remeasure', reasons: [seatUnknown(cover), ...movesKnown(rim)] };
  const { best } = stack;
  if (best.residual.worst > tolerance * (1 + toleranceSlack) + 1e-9) return unreachable(facts, stack);
  const reasons = moves(rim);
  if (best.residual.worst > tolerance + 1e-9)
    reasons.push(reason('withinSlack', { tolerance, share: toleranceSlack }));
  if (rim?.worst && inTolerance) reasons.push(reason('tilted', { worst: rim.worst, tolerance }));
  if (best.stack.length === 0) reasons.push(reason('frameOnSeat', { centre: best.residual.centre }));
  if (!best.withinTolerance)
    reasons.push(
      reason('allowanceNotMet', { worst: best.residual.worst, allowance: facts.allowance, tolerance }),
    );
  return { status: direction(rim), reasons };
}

/** Why a rim may stay, and whether the survey can vouch for it. */
function leaves({ tolerance, allowance }: Facts, worst: number, shots: number): Reason[] {
  const reasons = [reason('within', { worst, tolerance, shots })];
  if (worst + allowance > tolerance) reasons.push(reason('leaveDoubt', { worst, allowance, tolerance }));
  return reasons;
}

/** Up or down; a rim of unknown height is to be raised, as an overlay does to nearly all. */
const direction = (rim: RimAgainstGrade | null): PlanningStatus =>
  rim && rim.centre > 0 ? 'lower' : 'raise';

function moves(rim: RimAgainstGrade | null): Reason[] {
  return rim ? movesKnown(rim) : [reason('rimUnknown')];
}

const movesKnown = (rim: RimAgainstGrade | null): Reason[] =>
  rim ? [reason(rim.centre > 0 ? 'proud' : 'low', { by: Math.abs(rim.centre) })] : [];

/** No legal stack comes within the tolerance: whose limit is in the way. */
function unreachable(
  { cover, catalogue, tolerance }: Facts,
  { netBuildup, best }: NonNullable<Facts['stack']>,
): Decision {
  const { joint, rings, maxChimney } = catalogue;
  const { worst, centre, tilt } = best.residual;
  const misfit = reason('nearestStack', { worst, tolerance, centre, tilt });
  if (netBuildup > maxChimney)
    return {
      status: 'rebuild',
      reasons: [
        reason('pastChimney', { need: netBuildup, limit: maxChimney, short: netBuildup - maxChimney }),
      ],
    };
  if (netBuildup < joint.base)
    return {
      status: 'review',
      reasons: [reason('frameTooHigh', { by: joint.base - netBuildup, frame: cover.frameHeight }), misfit],
    };
  const held = rings.filter((r) => r.maxPerStack > 0);
  const thinnest = Math.min(...held.map((r) => (r.thin + r.thick) / 2)) + joint.base + joint.top;
  if (held.length > 0 && netBuildup < thinnest)
    return { status: 'review', reasons: [reason('mortarPad', { net: netBuildup, thinnest }), misfit] };
  const limit =
    best.residual.tilt > tolerance
      ? 'tilt'
      : best.stack.length >= catalogue.maxRings
        ? 'rings'
        : netBuildup + tolerance > maxChimney
          ? 'chimney'
          : 'sizes';
  return {
    status: 'review',
    reasons: [
      reason('unreachable', { limit, maxRings: catalogue.maxRings, tilt: best.residual.tilt }),
      misfit,
    ],
  };
}
