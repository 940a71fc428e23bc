import { median } from '../../surface/robust.ts';
import type { NearestPlaces } from '../nearest.ts';
import type { CheckShot } from './types.ts';

/** A stretch of shots, by their order, that stands off all others by one amount. */
export interface Stretch {
  from: number;
  to: number;
  jump: number;
}

interface Edge {
  from: number;
  to: number;
  length: number;
  direction: number;
  slope: number;
  /** Rise beyond what the edges beside it rise. */
  step: number;
}

/** Later shots of the same code that each shot is joined with. */
const joinedWith = 2;
/** Edges on either side, in the file, that tell the grade of the road. */
const beside = 40;
const parallel = Math.cos((15 * Math.PI) / 180);
/** Like neighbours farther apart in the file than this were not taken one after the other, and show no ends of runs. */
const mostApart = 60;
/** Edges that must cross a place in the file before a step there is believed. */
const leastCrossing = 3;

/**
 * Long runs, by their ends: where a wrong rod height sets in, every line between like shots before and after it steps by
 * the same amount, and steps back where it ends. `least` is the smallest step that counts, in the elevations' unit.
 */
export function findStretches(road: readonly CheckShot[], tree: NearestPlaces, least: number): Stretch[] {
  const edges = edgesOf(road, tree);
  setSteps(edges);
  const spread = 1.4826 * median(edges.map(({ step }) => Math.abs(step)));
  const limit = Math.max(least, 8 * (spread || 0));
  return pairUp(boundaries(road.length, edges, limit), limit);
}

function edgesOf(road: readonly CheckShot[], tree: NearestPlaces): Edge[] {
  const edges: Edge[] = [];
  road.forEach((shot, i) => {
    for (const j of tree.nearest(
      shot.east,
      shot.north,
      joinedWith,
      (k) => k > i && road[k].code === shot.code,
    )) {
      const [dx, dy] = [road[j].east - shot.east, road[j].north - shot.north];
      const length = Math.hypot(dx, dy);
      if (length === 0) continue;
      const slope = (road[j].elevation - shot.elevation) / length;
      edges.push({ from: i, to: j, length, direction: Math.atan2(dy, dx), slope, step: Number.NaN });
    }
  });
  return edges;
}

/** Only edges that run alike tell of one another's grade. */
function setSteps(edges: Edge[]): void {
  edges.forEach((edge, at) => {
    const slopes: number[] = [];
    for (const other of edges.slice(Math.max(0, at - beside), at + beside + 1)) {
      const cosine = Math.cos(other.direction - edge.direction);
      if (Math.abs(cosine) > parallel) slopes.push(Math.sign(cosine) * other.slope);
    }
    if (slopes.length > 8) edge.step = (edge.slope - median(slopes)) * edge.length;
  });
}

/** Places in the file (before shot `at`) where nearly all edges that cross it step alike. */
function boundaries(count: number, edges: readonly Edge[], limit: number): { at: number; step: number }[] {
  const usual = median(edges.map(({ from, to }) => to - from));
  if (!(usual <= mostApart)) return [];
  const crossing: Edge[][] = Array.from({ length: count }, () => []);
  // Edges far longer than usual cross half the file and tell of no place in it.
  for (const edge of edges) {
    if (Number.isNaN(edge.step) || edge.to - edge.from > 4 * usual) continue;
    for (let at = edge.from + 1; at <= edge.to; at++) crossing[at].push(edge);
  }
  const found: { at: number; step: number; share: number }[] = [];
  crossing.forEach((some, at) => {
    if (some.length < leastCrossing) return;
    const step = median(some.map((edge) => edge.step));
    if (Math.abs(step) <= limit) return;
    const alike = some.filter(
      (edge) => Math.abs(edge.step - step) < Math.max(limit / 2, 0.15 * Math.abs(step)),
    );
    const share = alike.length / some.length;
    if (share < 0.8) return;
    const last = found.at(-1);
    if (last && at - last.at <= 2 * usual && Math.sign(last.step) === Math.sign(step)) {
      if (share > last.share) Object.assign(last, { at, step, share });
    } else found.push({ at, step, share });
  });
  return found;
}

/** A step up and the next step down by the same amount enclose a stretch. */
function pairUp(found: readonly { at: number; step: number }[], limit: number): Stretch[] {
  const stretches: Stretch[] = [];
  for (let k = 0; k + 1 < found.length; k++) {
    const [start, end] = [found[k], found[k + 1]];
    const differs = Math.abs(start.step + end.step);
    if (differs > Math.max(limit / 2, 0.2 * Math.abs(start.step))) continue;
    stretches.push({ from: start.at, to: end.at - 1, jump: (start.step - end.step) / 2 });
    k++;
  }
  return stretches;
}
