import type { Gradient } from '../surface/types.ts';
import { type Bounds, boundsOf, type Lie, lieOf, mayFit } from './bounds.ts';
import { type FlatTable, firstAtLeast, tableFlats } from './flats.ts';
import { type MarkRule, turnOne, turnTwo } from './orient.ts';
import { composeStack, poseStack, type RingInPlace, type StackTarget } from './rigid.ts';
import type { Objective, PlacedRing, Ring, RingCatalogue, SolvedStack } from './types.ts';

/** Up to two tapered rings. */
interface TaperChoice {
  rings: Ring[];
  /** The same from the top down. */
  reversed: Ring[];
  cost: number;
  /** Of their tapers, radians. */
  angles: { sum: number; difference: number };
  /** Rings and joints while no flat ring lies under them, metres. */
  height: number;
}

/** A choice of tapered rings in one turn, standing on the seat with its joints and composed exactly. */
interface Turned {
  choice: TaperChoice;
  /** The choice's rings bottom-up. */
  order: Ring[];
  azimuths: number[];
  /** Error at the frame's axis while no flat ring lies under them. */
  centre: number;
  /** What the tilt adds to it at the worst point of the rim. */
  sway: number;
  chimney: number;
}

/** One legal stack and its exact worst rim error. */
interface Candidate {
  turned: Turned;
  /** Row of the flat table. */
  flat: number;
  count: number;
  cost: number;
  worst: number;
}

export interface Solution extends SolvedStack {
  /** Worst rim error plus the survey's allowance is within the tolerance. */
  withinTolerance: boolean;
  cost: number | null;
}

export interface Solver {
  catalogue: RingCatalogue;
  /** The best stack under the objective, and the best that uses other rings; null where there is none. */
  solve(target: StackTarget, objective: Objective): { best: Solution; runnerUp: Solution | null };
}

/**
 * With the survey's allowance off, a stack is held to the tolerance at this share of it: under 1/200 in for 1/4 in,
 * far below what a tape resolves at the rim. With the allowance on the comparison is exact.
 */
export const toleranceSlack = 0.018;

/** A catalogue prepared for one search after another. */
interface Bench {
  catalogue: RingCatalogue;
  flats: FlatTable;
  choices: TaperChoice[];
}

/**
 * Prepare a catalogue for searching. The search is exact: every flat stack under every choice of at most two tapered
 * rings, in either order and in every turn that can be best, counts with its exact worst rim error. Flat rings lie
 * under the tapered ones and only lift them along the seat's normal, so one composition serves all flat stacks.
 * @throws RangeError for a catalogue with more stacks than can be searched.
 */
export function makeSolver(catalogue: RingCatalogue): Solver {
  const bench = { catalogue, flats: tableFlats(catalogue), choices: chooseTapers(catalogue) };
  return { catalogue, solve: (target, objective) => search(bench, target, objective) };
}

/** Choices of fewer rings come first: what they come to shows which of the others are worth turning. */
function chooseTapers({ rings, maxRings, joint }: RingCatalogue): TaperChoice[] {
  const tapered = rings.filter((r) => r.thick > r.thin && r.maxPerStack > 0);
  const ones = tapered.map((one) => [one]);
  const twos = tapered.flatMap((one, i) =>
    tapered.slice(i).flatMap((two) => (two !== one || one.maxPerStack > 1 ? [[one, two]] : [])),
  );
  return [[], ...ones, ...twos]
    .filter((chosen) => chosen.length <= maxRings)
    .map((chosen): TaperChoice => {
      const angles = chosen.map((ring) => Math.atan(slopeOf(ring)));
      const [first = 0, second = 0] = angles;
      const between = Math.max(0, chosen.length - 1) * joint.between;
      const joints = joint.base + between + (chosen.length > 0 ? joint.top : 0);
      return {
        rings: chosen,
        reversed: chosen.toReversed(),
        cost: chosen.reduce((cost, ring) => cost + (ring.cost ?? 0), 0),
        angles: { sum: first + second, difference: Math.abs(first - second) },
        height: chosen.reduce((height, { thin, thick }) => height + (thin + thick) / 2, joints),
      };
    });
}

const slopeOf = (ring: Ring) => (ring.thick - ring.thin) / ring.outerDiameter;

/** The choices of tapered rings over one seat, each in every turn that can be its best: turned once it is asked for. */
class Turns {
  readonly #bench: Bench;
  readonly #target: StackTarget;
  readonly #marks: MarkRule;
  readonly #want: Gradient;
  readonly #lie: Lie;
  readonly #made: (Turned[] | undefined)[];

  constructor(bench: Bench, target: StackTarget) {
    this.#bench = bench;
    this.#target = target;
    this.#lie = lieOf(target);
    this.#made = new Array(bench.choices.length);
    const [a, b] = target.gradient;
    const [p, q] = target.seatGradient;
    this.#want = [a - p, b - q];
    const steep = Math.hypot(a, b) + Math.hypot(p, q);
    // Turns are chosen by the sum of slopes, which misses the exact rim error by terms of second degree.
    const doubt = 5e-5 + steep * steep * (0.03 + steep * (target.rimRadius + target.frameHeight));
    this.#marks = {
      positions: bench.catalogue.indexPositions,
      from: target.markBearing,
      slack: doubt / target.rimRadius,
    };
  }

  bounds({ angles, height }: TaperChoice): Bounds {
    const target = this.#target;
    return boundsOf(target, this.#lie, { angles, height: height + target.frameHeight });
  }

  of(number: number): readonly Turned[] {
    this.#made[number] ??= this.#turn(this.#bench.choices[number]);
    return this.#made[number];
  }

  #turn(choice: TaperChoice): Turned[] {
    const { rings, reversed } = choice;
    const [one, two] = rings;
    if (one === undefined) return [this.#stand(choice, rings, noAzimuths)];
    if (two === undefined)
      return turnOne(this.#want, slopeOf(one), this.#marks).map(({ first }) =>
        this.#stand(choice, rings, [first]),
      );
    const made: Turned[] = [];
    for (const { first, second } of turnTwo(this.#want, slopeOf(one), slopeOf(two), this.#marks)) {
      made.push(this.#stand(choice, rings, [first, second]));
      if (one !== two) made.push(this.#stand(choice, reversed, [second, first]));
    }
    return made;
  }

  #stand(choice: TaperChoice, order: Ring[], azimuths: number[]): Turned {
    const rings = standing[order.length];
    for (let i = 0; i < rings.length; i++) place(rings[i], order[i], azimuths[i]);
    const { centre, sway, chimney } = poseStack(this.#target, rings, this.#bench.catalogue.joint);
    return { choice, order, azimuths, centre, sway, chimney };
  }
}

function place(into: RingInPlace, { thin, thick, outerDiameter }: Ring, azimuth: number): void {
  into.thin = thin;
  into.thick = thick;
  into.outerDiameter = outerDiameter;
  into.azimuth = azimuth;
}

const noAzimuths: number[] = [];
const blank = (): RingInPlace => ({ thin: 0, thick: 0, outerDiameter: 0, azimuth: 0 });
/** Tapered rings as they are being tried, by their number: written over from one turn to the next. */
const standing: readonly RingInPlace[][] = [[], [blank()], [blank(), blank()]];

const inPlace = ({ thin, thick, outerDiameter }: Ring, azimuth: number): RingInPlace => ({
  thin,
  thick,
  outerDiameter,
  azimuth,
});

/** Two stacks that end so near to each other are alike, metres: a tenth of a micrometre. */
const tie = 1e-7;

/** The best candidate so far and the best of other rings. */
class Podium {
  best: Candidate | null = null;
  second: Candidate | null = null;
  private readonly objective: Objective;

  constructor(objective: Objective) {
    this.objective = objective;
  }

  /** Of how many rings a candidate may at most be for a place. */
  get most(): number {
    return this.objective === 'fewest' && this.best !== null && this.second !== null
      ? Math.max(this.best.count, this.second.count)
      : Infinity;
  }

  /** How far from the surface a candidate may at most end for a place, metres. */
  get farthest(): number {
    return this.objective === 'closest' && this.best !== null && this.second !== null
      ? Math.max(this.best.worst, this.second.worst) + tie
      : Infinity;
  }

  /** Whether a candidate with these figures may get a place: most do not, and are not even made. */
  mayTake(count: number, cost: number, worst: number): boolean {
    const { best, second } = this;
    return (
      best === null ||
      second === null ||
      this.beats(count, cost, worst, second) ||
      this.beats(count, cost, worst, best)
    );
  }

  offer(candidate: Candidate): void {
    const { best, second } = this;
    const { count, cost, worst } = candidate;
    if (best === null || this.beats(count, cost, worst, best)) {
      if (best !== null && !sameRings(candidate, best)) this.second = best;
      this.best = candidate;
    } else if (!sameRings(candidate, best) && (second === null || this.beats(count, cost, worst, second)))
      this.second = candidate;
  }

  /** Count or cost decides first, then who is nearer; of two that tie, the one of fewer rings is better. */
  private beats(count: number, cost: number, worst: number, other: Candidate): boolean {
    const by =
      this.objective === 'fewest'
        ? count - other.count
        : this.objective === 'cheapest'
          ? cost - other.cost
          : 0;
    if (Math.abs(by) > 1e-9) return by < 0;
    const nearer = other.worst - worst;
    return nearer > tie || (nearer > -tie && count < other.count);
  }
}

const sameRings = (a: Candidate, b: Candidate) => a.turned.choice === b.turned.choice && a.flat === b.flat;

/** Offer every legal stack whose worst rim error is at most `limit`, but for those that cannot get a place. */
function scan(
  bench: Bench,
  target: StackTarget,
  turns: Turns,
  { limit, podium }: { limit: number; podium: Podium },
): void {
  const { joint, maxRings, maxChimney } = bench.catalogue;
  const { flats, choices } = bench;
  const [a, b] = target.gradient;
  const [p, q] = target.seatGradient;
  // Height error per metre of flat ring: the seat's normal seen against the finished surface.
  const along = (1 + a * p + b * q) / Math.sqrt(1 + p * p + q * q);
  for (let number = 0; number < choices.length; number++) {
    const choice = choices[number];
    const tapers = choice.rings.length;
    // The table counts a joint with each flat ring; a bare frame stands on one joint only.
    const joints = tapers === 0 ? joint.top - joint.between : 0;
    const near = Math.min(limit, podium.farthest);
    const most = Math.min(maxRings, podium.most) - tapers;
    if (tapers > 0 && !mayFit(turns.bounds(choice), flats, { limit: near, most, along, joints })) continue;
    for (const t of turns.of(number)) {
      const wanted = -t.centre / along - joints;
      const room = maxChimney + 1e-9 - t.chimney - joints;
      for (let count = tapers === 0 ? 1 : 0; count < flats.byCount.length; count++) {
        // Fewer rings were offered first, and leave less to those of more.
        if (count + tapers > Math.min(maxRings, podium.most)) break;
        const half = (Math.min(limit, podium.farthest) - t.sway) / along;
        if (half < 0) break;
        const { height, row } = flats.byCount[count];
        for (let i = firstAtLeast(height, wanted - half); i < height.length; i++) {
          const off = height[i] - wanted;
          if (off > half || height[i] > room) break;
          const worst = Math.abs(off) * along + t.sway;
          const cost = flats.cost[row[i]] + choice.cost;
          if (podium.mayTake(count + tapers, cost, worst))
            podium.offer({ turned: t, flat: row[i], count: count + tapers, cost, worst });
        }
      }
      const bare = Math.abs(t.centre) + t.sway;
      if (tapers === 0 && bare <= limit) podium.offer({ turned: t, flat: 0, count: 0, cost: 0, worst: bare });
    }
  }
}

function search(
  bench: Bench,
  target: StackTarget,
  objective: Objective,
): { best: Solution; runnerUp: Solution | null } {
  const turns = new Turns(bench, target);
  const [bare] = turns.of(0);
  if (!Number.isFinite(bare.centre)) throw new RangeError('the target of a stack is not a number');
  const slack = target.allowance > 0 ? 0 : target.tolerance * toleranceSlack;
  const limit = target.tolerance - target.allowance + slack + 1e-9;
  const podium = new Podium(objective);
  if (objective !== 'closest') scan(bench, target, turns, { limit, podium });
  let { best, second } = podium;
  if (best === null || second === null) {
    const nearest = closest(bench, target, turns);
    best ??= nearest.best;
    second = sameRings(nearest.best, best) ? nearest.second : nearest.best;
  }
  const finish = (c: Candidate) => finishStack(bench, target, c, limit);
  return { best: finish(best), runnerUp: second && finish(second) };
}

/** The two stacks of different rings that come nearest to the surface. The frame on its bare seat is always one. */
function closest(
  bench: Bench,
  target: StackTarget,
  turns: Turns,
): { best: Candidate; second: Candidate | null } {
  // Most covers have two within 2 mm; where not, look wider, and at last at every stack there is.
  for (const limit of [0.002, 0.01, 0.05, 0.25]) {
    const podium = new Podium('closest');
    scan(bench, target, turns, { limit, podium });
    if (podium.best !== null && podium.second !== null) return { best: podium.best, second: podium.second };
  }
  const podium = new Podium('closest');
  scan(bench, target, turns, { limit: Infinity, podium });
  return { best: podium.best!, second: podium.second };
}

function finishStack(
  { catalogue, flats }: Bench,
  target: StackTarget,
  candidate: Candidate,
  limit: number,
): Solution {
  const { turned, flat, count, cost } = candidate;
  const rings: RingInPlace[] = [];
  const stack: PlacedRing[] = [];
  if (count > 0) {
    flats.rings.forEach((ring, kind) => {
      for (let k = flats.pieces[flat * flats.rings.length + kind]; k > 0; k--) {
        rings.push(inPlace(ring, 0));
        stack.push({ ring: ring.id, azimuth: null });
      }
    });
    turned.order.forEach((ring, i) => {
      rings.push(inPlace(ring, turned.azimuths[i]));
      stack.push({ ring: ring.id, azimuth: wrap(turned.azimuths[i]) });
    });
  }
  const { chimney, topGradient, worst, centre, tilt } = composeStack(target, rings, catalogue.joint);
  return {
    stack,
    residual: { worst, centre, tilt },
    chimney,
    topGradient,
    withinTolerance: worst <= limit,
    cost: catalogue.rings.every((r) => r.cost !== null) ? cost : null,
  };
}

const wrap = (azimuth: number) => ((azimuth % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);
