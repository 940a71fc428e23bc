import type { Gradient } from '../surface/types.ts';
import { type FlatTable, firstAtLeast, tableFlats } from './flats.ts';
import { type Turn, turnOne, turnTwo } from './orient.ts';
import { composeStack, netBuildup, type RingInPlace, type StackTarget } from './rigid.ts';
import type { Objective, PlacedRing, Ring, RingCatalogue, SolvedStack } from './types.ts';

/** Up to two tapered rings, lower first. */
interface TaperChoice {
  rings: Ring[];
  /** Heights with a `between` joint each. */
  height: number;
  cost: number;
  slopes: [number, number];
}

/** One stack met in the search, by first-order reckoning. */
interface Candidate {
  choice: TaperChoice;
  turn: Turn;
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
 * With the survey's allowance off, a stack is held to the tolerance at a fiftieth of it: 1/200 in for 1/4 in,
 * far below what a tape resolves at the rim. With the allowance on the comparison is exact.
 */
export const toleranceSlack = 0.02;

/**
 * Prepare a catalogue for searching. The search is exact: every flat stack, every choice of at most two tapered
 * rings and their best turns are considered. They are ranked by first-order rim error |height error| + rim
 * radius x gradient error; all within `margin` of the best are then composed exactly, and that decides.
 * @throws RangeError for a catalogue with more stacks than can be searched.
 */
export function makeSolver(catalogue: RingCatalogue): Solver {
  const flats = tableFlats(catalogue);
  const choices = chooseTapers(catalogue);
  return { catalogue, solve: (target, objective) => search(catalogue, flats, choices, target, objective) };
}

function chooseTapers({ rings, joint, maxRings }: RingCatalogue): TaperChoice[] {
  const tapered = rings.filter((r) => r.thick > r.thin && r.maxPerStack > 0);
  const make = (chosen: Ring[]): TaperChoice => ({
    rings: chosen,
    height: chosen.reduce((h, r) => h + (r.thin + r.thick) / 2 + joint.between, 0),
    cost: chosen.reduce((c, r) => c + (r.cost ?? 0), 0),
    slopes: [slopeOf(chosen[0]), slopeOf(chosen[1])],
  });
  const sets: Ring[][] = [[]];
  tapered.forEach((one, i) => {
    sets.push([one]);
    for (const two of tapered.slice(i)) if (two !== one || one.maxPerStack > 1) sets.push([one, two]);
  });
  return sets.filter((s) => s.length <= maxRings).map(make);
}

const slopeOf = (ring?: Ring) => (ring ? (ring.thick - ring.thin) / ring.outerDiameter : 0);

/** What the first-order reckoning of one target needs. */
interface Reckoning {
  target: StackTarget;
  /** Height that the rings, a `between` joint counted with each, have to make up along the seat's normal. */
  need: number;
  /** The same for a frame set on the seat without rings: what is left to make up. */
  bare: number;
  /** Vertical height error per metre of stack along the seat's normal. */
  along: number;
  /** Bound on |exact - first-order| worst rim error. */
  margin: number;
  /** Every choice of tapered rings in its best turns. */
  turned: { choice: TaperChoice; turn: Turn }[];
}

const level: Turn = { first: 0, second: 0, miss: 0 };

function reckon(catalogue: RingCatalogue, choices: TaperChoice[], target: StackTarget): Reckoning {
  const { joint, indexPositions } = catalogue;
  const [a, b] = target.gradient;
  const [p, q] = target.seatGradient;
  const along = (1 + a * p + b * q) / Math.sqrt(1 + p * p + q * q);
  const steep = Math.hypot(a, b) + Math.hypot(p, q);
  const margin = 5e-5 + steep * steep * (0.03 + steep * (target.rimRadius + target.frameHeight));
  const want: Gradient = [a - p, b - q];
  const marks = { positions: indexPositions, from: target.markBearing, slack: margin / target.rimRadius };
  const turned: Reckoning['turned'] = [];
  for (const choice of choices) {
    const [one, two] = choice.slopes;
    if (choice.rings.length === 0) turned.push({ choice, turn: { ...level, miss: Math.hypot(...want) } });
    else if (choice.rings.length === 1)
      for (const turn of turnOne(want, one, marks)) turned.push({ choice, turn });
    else for (const turn of turnTwo(want, one, two, marks)) turned.push({ choice, turn });
  }
  const net = netBuildup(target) / along;
  return {
    target,
    need: net - joint.base - joint.top + joint.between,
    bare: net - joint.base,
    along,
    margin,
    turned,
  };
}

/** Stacks of the table with one choice and turn, whose first-order worst rim error is at most `limit`. */
function scan(
  work: Reckoning,
  catalogue: RingCatalogue,
  flats: FlatTable,
  limit: number,
  found: (candidate: Candidate) => void,
): void {
  const { joint, maxRings, maxChimney } = catalogue;
  const fixed = joint.base + joint.top - joint.between;
  for (const { choice, turn } of work.turned) {
    const sway = work.target.rimRadius * turn.miss;
    if (sway > limit) continue;
    const wanted = work.need - choice.height;
    const half = (limit - sway) / work.along;
    const most = maxRings - choice.rings.length;
    for (let i = firstAtLeast(flats, wanted - half); i < flats.size; i++) {
      const error = flats.height[i] - wanted;
      if (error > half) break;
      if (flats.count[i] > most) continue;
      const count = flats.count[i] + choice.rings.length;
      if (count === 0 || fixed + flats.height[i] + choice.height > maxChimney + 1e-9) continue;
      const worst = Math.abs(error) * work.along + sway;
      found({ choice, turn, flat: i, count, cost: flats.cost[i] + choice.cost, worst });
    }
    if (choice.rings.length > 0) continue;
    const worst = Math.abs(work.bare) * work.along + sway;
    if (worst <= limit) found({ choice, turn, flat: 0, count: 0, cost: 0, worst });
  }
}

/** The least first-order worst rim error of any stack, `except` one choice of rings. */
function nearest(work: Reckoning, catalogue: RingCatalogue, flats: FlatTable, except?: Candidate): number {
  let least = Infinity;
  const keep = (c: Candidate) => {
    if (c.worst < least && !(except && sameRings(c, except))) least = c.worst;
  };
  // Widen until something is met: heights are spread over a metre at most, so this ends soon.
  for (let limit = 0.01; least > limit && limit < 1000; limit *= 4) scan(work, catalogue, flats, limit, keep);
  return least;
}

const sameRings = (a: Candidate, b: Candidate) =>
  a.choice === b.choice && a.flat === b.flat && a.count === b.count;

/** An exact composition of a candidate. */
interface Composed {
  candidate: Candidate;
  worst: number;
  solution: Omit<Solution, 'withinTolerance' | 'cost'>;
}

function compose(
  work: Reckoning,
  catalogue: RingCatalogue,
  flats: FlatTable,
  candidate: Candidate,
): Composed {
  const { choice, turn, flat, count } = candidate;
  const rings: (RingInPlace & { id: string })[] = [];
  if (count > 0) {
    flats.rings.forEach((ring, kind) => {
      for (let k = flats.pieces[flat * flats.rings.length + kind]; k > 0; k--)
        rings.push({ ...ring, azimuth: 0 });
    });
    choice.rings.forEach((ring, i) => {
      rings.push({ ...ring, azimuth: i === 0 ? turn.first : turn.second });
    });
  }
  const { chimney, topGradient, ...residual } = composeStack(work.target, rings, catalogue.joint);
  const stack: PlacedRing[] = rings.map((r) => ({
    ring: r.id,
    azimuth: r.thick > r.thin ? wrap(r.azimuth) : null,
  }));
  return { candidate, worst: residual.worst, solution: { stack, residual, chimney, topGradient } };
}

const wrap = (azimuth: number) => ((azimuth % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);

/** What an objective counts before the rim error: stacks are compared group by group, the lowest first. */
const groupOf: Record<Objective, (c: Candidate) => number> = {
  fewest: (c) => c.count,
  cheapest: (c) => c.cost,
  closest: () => 0,
};

/** Of the candidates, the exactly best one whose worst rim error is at most `limit`; null where there is none. */
function pick(
  candidates: Candidate[],
  limit: number,
  objective: Objective,
  exactly: (c: Candidate) => Composed,
  margin: number,
): Composed | null {
  const group = groupOf[objective];
  for (let done = -Infinity; ; ) {
    let next = Infinity;
    let least = Infinity;
    for (const c of candidates) {
      const g = group(c);
      if (g <= done + 1e-9 || g > next + 1e-9) continue;
      if (g < next - 1e-9) least = Infinity;
      next = Math.min(next, g);
      least = Math.min(least, c.worst);
    }
    if (next === Infinity) return null;
    let best: Composed | null = null;
    for (const c of candidates) {
      if (Math.abs(group(c) - next) > 1e-9 || c.worst > least + 2 * margin) continue;
      const composed = exactly(c);
      // A tenth of a micrometre is a tie: then fewer rings.
      const closer = best === null ? Infinity : best.worst - composed.worst;
      if (closer > 1e-7 || (closer > -1e-7 && c.count < best!.candidate.count)) best = composed;
    }
    if (best !== null && best.worst <= limit) return best;
    done = next;
  }
}

function search(
  catalogue: RingCatalogue,
  flats: FlatTable,
  choices: TaperChoice[],
  target: StackTarget,
  objective: Objective,
): { best: Solution; runnerUp: Solution | null } {
  const work = reckon(catalogue, choices, target);
  const slack = target.allowance > 0 ? 0 : target.tolerance * toleranceSlack;
  const limit = target.tolerance - target.allowance + slack + 1e-9;
  const exactly = (c: Candidate) => compose(work, catalogue, flats, c);
  const within: Candidate[] = [];
  if (objective !== 'closest' && limit > 0)
    scan(work, catalogue, flats, limit + work.margin, (c) => within.push(c));
  const first =
    pick(within, limit, objective, exactly, work.margin) ?? closest(work, catalogue, flats, exactly);
  if (first === null) throw new RangeError('a catalogue without a single stack');
  const others = within.filter((c) => !sameRings(c, first.candidate));
  const second =
    pick(others, limit, objective, exactly, work.margin) ??
    closest(work, catalogue, flats, exactly, first.candidate);
  const priced = catalogue.rings.every((r) => r.cost !== null);
  const finish = (c: Composed): Solution => ({
    ...c.solution,
    withinTolerance: c.worst <= limit,
    cost: priced ? c.candidate.cost : null,
  });
  return { best: finish(first), runnerUp: second && finish(second) };
}

/** The stack with the least worst rim error, then the fewest rings. */
function closest(
  work: Reckoning,
  catalogue: RingCatalogue,
  flats: FlatTable,
  exactly: (c: Candidate) => Composed,
  except?: Candidate,
): Composed | null {
  const limit = nearest(work, catalogue, flats, except) + 2 * work.margin;
  if (limit === Infinity) return null;
  const near: Candidate[] = [];
  scan(work, catalogue, flats, limit, (c) => {
    if (!(except && sameRings(c, except))) near.push(c);
  });
  return pick(near, Infinity, 'closest', exactly, work.margin);
}
