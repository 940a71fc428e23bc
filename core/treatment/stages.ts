import type { FinishedGrade } from '../surface/types.ts';
import type { PavingTreatment, StageElevation, StageOfWork } from './types.ts';

/** What is still to be done to a surface of some stage until it is the finished one. */
export interface WorkLeft {
  /** Depth still to be milled off, metres. */
  mill: number;
  /** Lifts still to be laid, compacted thicknesses in metres, bottom first. */
  lifts: readonly number[];
}

/** `liftsUnknown`: nobody said what is laid. `noSuchLift`: the surface is the top of a lift the treatment has not. */
export type NoWorkLeft = 'liftsUnknown' | 'noSuchLift';

/** The work left after a stage, or why it is not known. A lift without its number is known only where there is one. */
export function workLeft(
  { stage, lift }: StageOfWork,
  { millDepth, lifts }: PavingTreatment,
): WorkLeft | NoWorkLeft {
  if (stage === 'finished') return { mill: 0, lifts: [] };
  if (lifts === null) return 'liftsUnknown';
  if (stage === 'existing') return { mill: millDepth, lifts };
  if (stage === 'milled') return { mill: 0, lifts };
  const number = lift ?? (lifts.length === 1 ? 1 : 0);
  return number >= 1 && number <= lifts.length ? { mill: 0, lifts: lifts.slice(number) } : 'noSuchLift';
}

const sum = (lengths: readonly number[]): number => lengths.reduce((total, length) => total + length, 0);

/** How much higher than the surface of its stage the finished one lies, metres. */
export const riseOf = ({ mill, lifts }: WorkLeft): number => sum(lifts) - mill;

/**
 * The finished grade that the work left makes of the surface of a stage: the same plane, shifted in level. Milling to
 * an even depth and lifts of even thickness keep grade and cross slope. Each lift still to be laid adds its own
 * deviation `liftSigma` (metres; 0 counts the survey alone); with the allowance off (`sigmaRim` 0 of shots) none is.
 */
export function finishAfter(
  grade: FinishedGrade,
  left: WorkLeft,
  { liftSigma, allowance }: { liftSigma: number; allowance: boolean },
): FinishedGrade {
  const laid = allowance ? liftSigma * Math.sqrt(left.lifts.length) : 0;
  return {
    ...grade,
    elevation: grade.elevation + riseOf(left),
    sigma: Math.hypot(grade.sigma, laid),
    sigmaRim: Math.hypot(grade.sigmaRim, laid),
  };
}

/**
 * Elevation over the cover's centre at each stage of the work, from the finished one downward: every lift's top, to
 * raise a frame to on the way. Below the lifts only what `from` (the stage that was measured) makes known is given:
 * under a design surface the lowest lift is as thick as the old road asks for.
 */
export function stageElevations(
  finished: number,
  { millDepth, lifts }: PavingTreatment,
  from: StageOfWork['stage'],
): StageElevation[] {
  if (lifts === null) return [];
  const stages: StageElevation[] = [];
  let elevation = finished;
  for (let lift = lifts.length; lift >= 1; lift--) {
    stages.push({ stage: 'lift', lift, elevation });
    elevation -= lifts[lift - 1];
  }
  if (from === 'existing' || from === 'milled') stages.push({ stage: 'milled', lift: null, elevation });
  if (from === 'existing') stages.push({ stage: 'existing', lift: null, elevation: elevation + millDepth });
  return stages.reverse();
}
