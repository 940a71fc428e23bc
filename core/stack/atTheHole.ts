import type { Problem } from '../problem.ts';
import { tapeMisclosure } from '../surface/tapes.ts';
import { type HoleCover, type HoleGrade, holeTarget, isTarget, type MeasureAgain } from './holeTarget.ts';
import { composeStack, netBuildup, type RingInPlace, type StackTarget } from './rigid.ts';
import { type RoundTheRim, roundTheRim } from './roundTheRim.ts';
import { makeSolver, type Solution, type Solver } from './solve.ts';
import type { JointThickness, Objective, PlacedRing, RingCatalogue } from './types.ts';

/** How many of each ring are on the truck, by id; a ring that is not named is not there. null: all are there. */
export type Truck = Readonly<Record<string, number>> | null;

export interface HoleInputs {
  cover: HoleCover;
  grade: HoleGrade;
  /** The stack that the crew was sent with; empty where the plan had none. */
  planned: readonly PlacedRing[];
  tolerance: number;
  objective: Objective;
  /** Default `tapeMisclosure`, 3 mm. */
  misclosureLimit?: number;
}

export interface HoleStack extends Solution, RoundTheRim {}

/** How the plan's own stack would end here; `missing`: rings of it that are not in the catalogue or on the truck. */
export interface PlannedHere extends RoundTheRim {
  withinTolerance: boolean;
}

export interface HoleAnswer {
  target: StackTarget;
  /** Azimuth of 12 o'clock; clocks are counted from it. */
  bearing: number;
  misclosure: number | null;
  /** What rings and joints have to make up at the seat's centre. */
  netBuildup: number;
  best: HoleStack;
  runnerUp: HoleStack | null;
  /** `same`: the plan's rings, turned as planned; `turned`: its rings, turned otherwise. */
  change: 'same' | 'turned' | 'otherRings';
  /** null where a ring of the plan's stack is unknown, or it had none. */
  planned: PlannedHere | null;
  /** Rings of the plan's stack that the truck has too few of, each named once. */
  missing: string[];
}

export interface HoleSolver {
  solve(inputs: HoleInputs): HoleAnswer | MeasureAgain;
  /** The same for a target that is known already. */
  solveFor(target: StackTarget, inputs: TargetInputs): HoleAnswer;
}

export interface TargetInputs extends Pick<HoleInputs, 'planned' | 'objective'> {
  bearing: number;
  misclosure?: number | null;
}

/**
 * Prepare rings for the covers of a night: once for a catalogue, what is on the truck and how thick the joints are.
 * A vacuum test's thick rope goes in as `joint` base and top, since other rings may then be the best; it is never added
 * to a stack that was solved without. Thicknesses compressed, metres. A catalogue with more stacks than can be searched
 * comes back as a problem.
 */
export function makeHoleSolver(
  catalogue: RingCatalogue,
  { truck = null, joint = catalogue.joint }: { truck?: Truck; joint?: JointThickness } = {},
): HoleSolver | Problem {
  const there = { ...catalogue, joint, rings: onTruck(catalogue, truck) };
  let solver: Solver;
  try {
    solver = makeSolver(there);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const message = `these rings make ${error.message}: fewer of each in a stack, please`;
    return { code: 'tooManyStacks', row: null, column: 'rings', value: null, message };
  }
  const hole = new Hole(solver, catalogue, truck);
  return {
    solve: (inputs) => hole.solve(inputs),
    solveFor: (target, inputs) => hole.solveFor(target, inputs),
  };
}

const onTruck = ({ rings }: RingCatalogue, truck: Truck) =>
  truck === null
    ? rings
    : rings
        .map((ring) => ({ ...ring, maxPerStack: Math.min(ring.maxPerStack, countOf(truck, ring.id)) }))
        .filter(({ maxPerStack }) => maxPerStack > 0);

const countOf = (truck: NonNullable<Truck>, ring: string): number =>
  Object.hasOwn(truck, ring) ? Math.max(0, Math.floor(truck[ring])) : 0;

class Hole {
  private readonly solver: Solver;
  private readonly catalogue: RingCatalogue;
  private readonly truck: Truck;

  constructor(solver: Solver, catalogue: RingCatalogue, truck: Truck) {
    this.solver = solver;
    this.catalogue = catalogue;
    this.truck = truck;
  }

  solve({ cover, grade, tolerance, misclosureLimit = tapeMisclosure, ...rest }: HoleInputs) {
    const seen = holeTarget(cover, grade, { tolerance, misclosureLimit });
    if (!isTarget(seen)) return seen;
    const { indexFrom } = this.catalogue;
    const markBearing = indexFrom === 'road' ? seen.target.markBearing : 0;
    const { bearing, misclosure } = seen;
    return this.solveFor({ ...seen.target, markBearing }, { ...rest, bearing, misclosure });
  }

  solveFor(
    target: StackTarget,
    { planned, objective, bearing, misclosure = null }: TargetInputs,
  ): HoleAnswer {
    const { best, runnerUp } = this.solver.solve(target, objective);
    const dress = (solution: Solution): HoleStack => ({
      ...solution,
      ...this.round(target, solution.stack, bearing)!,
    });
    return {
      target,
      bearing,
      misclosure,
      netBuildup: netBuildup(target),
      best: dress(best),
      runnerUp: runnerUp && dress(runnerUp),
      change: changeOf(planned, best.stack),
      planned: this.plannedHere(target, planned, bearing),
      missing: this.missingOf(planned),
    };
  }

  private plannedHere(
    target: StackTarget,
    planned: readonly PlacedRing[],
    bearing: number,
  ): PlannedHere | null {
    const round = planned.length > 0 ? this.round(target, planned, bearing) : null;
    if (round === null) return null;
    const rings = inPlace(this.catalogue, planned)!;
    const { worst } = composeStack(target, rings, this.solver.catalogue.joint);
    return { ...round, withinTolerance: worst + target.allowance <= target.tolerance + 1e-9 };
  }

  private round(target: StackTarget, stack: readonly PlacedRing[], bearing: number): RoundTheRim | null {
    const rings = inPlace(this.catalogue, stack);
    return rings && roundTheRim(target, rings, { joint: this.solver.catalogue.joint, bearing });
  }

  private missingOf(planned: readonly PlacedRing[]): string[] {
    const { truck } = this;
    if (truck === null) return [];
    const need = Map.groupBy(planned, ({ ring }) => ring);
    return [...need].filter(([ring, of]) => of.length > countOf(truck, ring)).map(([ring]) => ring);
  }
}

/** Rings bottom-up as the composition needs them; null where the catalogue does not have one of them. */
export function inPlace(
  { rings }: Pick<RingCatalogue, 'rings'>,
  stack: readonly PlacedRing[],
): RingInPlace[] | null {
  const found = stack.map(({ ring, azimuth }) => {
    const known = rings.find(({ id }) => id === ring);
    return known && { ...known, azimuth: azimuth ?? 0 };
  });
  return found.every((ring) => ring !== undefined) ? found : null;
}

/** Turned by less than this a ring is turned as planned: 1 degree, less than a crew can set. */
const sameTurn = Math.PI / 180;

function changeOf(planned: readonly PlacedRing[], best: readonly PlacedRing[]): HoleAnswer['change'] {
  const ids = (stack: readonly PlacedRing[]) => stack.map(({ ring }) => ring);
  if (ids(planned).sort().join('\n') !== ids(best).sort().join('\n')) return 'otherRings';
  const isAlike = best.every(({ ring, azimuth }, index) => {
    const { ring: other, azimuth: was } = planned[index];
    return ring === other && (azimuth === null || was === null || isTurnedAlike(azimuth, was));
  });
  return isAlike ? 'same' : 'turned';
}

const isTurnedAlike = (a: number, b: number) => Math.cos(a - b) >= Math.cos(sameTurn);
