import { NormalEquations } from '../surface/normal.ts';
import type { AcceptancePolicy } from './types.ts';

/** An error of the rim as shot: rim minus target, metres, + = proud; `clock` in hours from 12, which is up-station. */
export interface RimReading {
  clock: number;
  error: number;
}

/** `doubtful`: within the limit by less than twice the sigma of the figure. */
export type RimState = 'within' | 'doubtful' | 'off';

export interface JudgedPoint extends RimReading {
  /** How far past its limit, on its own side; negative within. */
  over: number;
  /** Twice the standard deviation of the error. */
  allowance: number;
  state: RimState;
}

/** The rim's plane through the readings: its error at hour h is exactly centre + right sin(h) + up cos(h). */
export interface RimPlane {
  centre: number;
  /** Toward 12 and toward 3 o'clock, at the rim. */
  up: number;
  right: number;
  highest: JudgedPoint;
  lowest: JudgedPoint;
  /** Largest difference of a reading from the plane. */
  misfit: number;
  /** A reading differs from the plane by more than three of its sigmas: misread, or the rim is not flat. */
  isUneven: boolean;
}

export interface RimJudgement {
  clocks: JudgedPoint[];
  /** null where the readings do not show a plane: fewer than three clocks. */
  plane: RimPlane | null;
  /** Of readings and plane the one that decides. */
  worst: JudgedPoint;
  state: RimState;
}

/** A rim exactly at a limit is within it, whatever became of the figure on its way. */
const rounding = 1e-6;

type Limits = Pick<AcceptancePolicy, 'proud' | 'low'>;

/**
 * Hold a rim as shot against its limits, at the clocks where it was shot and all round by the plane through them. `sigma`:
 * standard deviation of one error. null without a reading.
 */
export function judgeRim(
  readings: readonly RimReading[],
  limits: Limits,
  sigma: number,
): RimJudgement | null {
  if (readings.length === 0) return null;
  const judge = (reading: RimReading, deviation: number) => judgePoint(reading, limits, deviation);
  const clocks = readings.map((reading) => judge(reading, sigma));
  const plane = fitRim(readings, sigma, judge);
  const worst = [...clocks, ...(plane ? [plane.highest, plane.lowest] : [])].reduce((a, b) =>
    b.over > a.over + 1e-12 ? b : a,
  );
  const points = plane ? [...clocks, plane.highest, plane.lowest] : clocks;
  const isAny = (state: RimState) => points.some((point) => point.state === state);
  return { clocks, plane, worst, state: isAny('off') ? 'off' : isAny('doubtful') ? 'doubtful' : 'within' };
}

/** Readings at 12, 3, 6 and 9 o'clock, as they are recorded at the hole. */
export const fourClocks = (errors: readonly [number, number, number, number]): RimReading[] =>
  errors.map((error, index) => ({ clock: index * 3 || 12, error }));

function judgePoint({ clock, error }: RimReading, { proud, low }: Limits, deviation: number): JudgedPoint {
  const over = Math.max(error - proud, -error - low);
  const allowance = 2 * deviation;
  const state = over > rounding ? 'off' : over + allowance > rounding ? 'doubtful' : 'within';
  return { clock, error, over, allowance, state };
}

const angleOf = (clock: number) => (clock * Math.PI) / 6;
const rowOf = (clock: number) => [1, Math.sin(angleOf(clock)), Math.cos(angleOf(clock))];

function fitRim(
  readings: readonly RimReading[],
  sigma: number,
  judge: (reading: RimReading, deviation: number) => JudgedPoint,
): RimPlane | null {
  const equations = new NormalEquations(3);
  for (const { clock, error } of readings) equations.add(rowOf(clock), error, 1);
  if (!equations.solve()) return null;
  equations.invert();
  const [centre, right, up] = equations.x;
  const at = (clock: number): JudgedPoint => {
    const [one, sin, cos] = rowOf(clock);
    const error = centre * one + right * sin + up * cos;
    return judge({ clock, error }, sigma * Math.sqrt(equations.variance([one, sin, cos])));
  };
  const top = (Math.atan2(right, up) * 6) / Math.PI;
  const hour = (clock: number) => ((clock % 12) + 12) % 12 || 12;
  const misfits = readings.map(({ clock, error }) => Math.abs(error - at(clock).error));
  const isUneven = readings.some(({ clock }, index) => {
    const freedom = 1 - equations.variance(rowOf(clock));
    return freedom > 1e-9 && misfits[index] > 3 * sigma * Math.sqrt(freedom) + rounding;
  });
  const [highest, lowest] = [at(hour(top)), at(hour(top + 6))];
  return { centre, up, right, highest, lowest, misfit: Math.max(...misfits), isUneven };
}
