import { outlier } from './consensus.ts';
import type { LocalFit, LocalShots } from './localFit.ts';
import { median } from './robust.ts';

/** A bend of the surface that the shots themselves show. */
export interface FoundLine {
  /** Unit vector from the cover to the line. */
  ux: number;
  uy: number;
  /** Distance from the cover to the line. */
  distance: number;
  /** How far nearer or farther the noise of the shots lets it lie. */
  doubt: number;
  /** Change of gradient across the line along that vector: negative over a crown. */
  bend: number;
  /** 1 for shots on the cover's own side that fit it. */
  use: Uint8Array;
  /** 1 for shots past the line. */
  beyond: Uint8Array;
  /** Sum over all shots of (residual / sigma)^2, each bounded as a blunder's. */
  cost: number;
}

/** Fewer shots past a line than this cannot show one: they may as well be blunders. */
const fewestBeyond = 3;
/** What a line must save in cost: it brings a place, a direction and a bend of its own. */
export const lineCost = 12;
/** A change of gradient below this is within what a street bends anyway. */
export const leastBend = 0.004;

const bounded = (t: number) => Math.min(t * t, outlier * outlier);

/** Cost of one surface through the shots that `use` marks, the others being blunders. */
export function costWithoutLine(shots: LocalShots, fit: LocalFit, use: Uint8Array): number {
  let cost = 0;
  for (let i = 0; i < shots.n; i++)
    cost += use[i] === 1 ? bounded(fit.residual[i] / shots.sigma[i]) : outlier * outlier;
  return cost;
}

/**
 * Look for a crown, gutter or other bend past which shots leave the cover's surface as a wedge,
 * bend x (distance past the line). Every way of parting the shots by a line across the road's direction (any
 * direction where that is unknown) is tried: a surface through the near part, a wedge through the far part's
 * residuals, and the parting with the least bounded cost. Returns null where none shows a wedge at a cost below `most`.
 */
export function findLine(
  shots: LocalShots,
  fit: LocalFit,
  { roadBearing, most }: { roadBearing: number | null; most: number },
): FoundLine | null {
  const directions =
    roadBearing === null
      ? Array.from({ length: 24 }, (_, k) => (Math.PI * k) / 12)
      : [roadBearing + Math.PI / 2, roadBearing - Math.PI / 2];
  let best: FoundLine | null = null;
  const u = new Float64Array(shots.n);
  const noise = median(Array.from(shots.sigma.subarray(0, shots.n)));
  for (const azimuth of directions) {
    const ux = Math.sin(azimuth);
    const uy = Math.cos(azimuth);
    for (let i = 0; i < shots.n; i++) u[i] = ux * shots.x[i] + uy * shots.y[i];
    const order = Array.from(u.keys()).sort((a, b) => u[b] - u[a]);
    for (let far = fewestBeyond; far <= shots.n - 4; far++) {
      if (u[order[far - 1]] < 0) break;
      const parted = { u, far: order.slice(0, far), own: u[order[far]], noise };
      const line = part(shots, fit, parted, best?.cost ?? most);
      if (line) best = { ...line, ux, uy };
    }
  }
  return best;
}

/** Shots laid out along one direction, the farthest first. */
interface Parted {
  u: Float64Array;
  far: readonly number[];
  /** Where the last shot before the line lies. */
  own: number;
  /** Median sigma of a shot. */
  noise: number;
}

/** Part the shots so that `far` lie past the line; null for what costs no less than `most`. */
function part(
  shots: LocalShots,
  fit: LocalFit,
  { u, far, own, noise }: Parted,
  most: number,
): Omit<FoundLine, 'ux' | 'uy'> | null {
  const { n, sigma } = shots;
  const beyond = new Uint8Array(n);
  for (const i of far) beyond[i] = 1;
  const use = fitNear(shots, fit, beyond);
  if (!use) return null;
  // What is past the line costs something too, so there is nothing to be found where this alone is too much.
  let cost = 0;
  for (let i = 0; i < n; i++) {
    if (beyond[i] === 0) cost += use[i] === 1 ? bounded(fit.residual[i] / sigma[i]) : outlier * outlier;
  }
  if (cost >= most) return null;
  const wedge = fitWedge(
    far.map((i) => u[i]),
    far.map((i) => fit.residual[i]),
  );
  if (!wedge || Math.abs(wedge.bend) < leastBend) return null;
  const distance = -wedge.start / wedge.bend;
  const nearest = u[far[far.length - 1]];
  // The wedge has to close between the two parts; a shot's noise shifts it by so much.
  const slack = 0.1 + (3 * noise) / Math.abs(wedge.bend);
  if (distance > nearest + slack || distance < own - slack) return null;
  // A line behind the cover has it on its far side: what then is the near one is found the other way round.
  if (distance < -slack) return null;
  for (const i of far) {
    // Past the line the residual carries the near surface's own uncertainty, which grows with distance.
    const spread = Math.abs(fit.residual[i] / fit.studentized[i]);
    cost += bounded((fit.residual[i] - wedge.start - wedge.bend * u[i]) / spread);
  }
  if (!(cost < most)) return null;
  return { distance: Math.max(0, distance), doubt: slack, bend: wedge.bend, use, beyond, cost };
}

/** Fit the shots before the line, leaving out up to three that do not belong, the worst first. */
function fitNear(shots: LocalShots, fit: LocalFit, beyond: Uint8Array): Uint8Array | null {
  const use = beyond.map((b) => 1 - b);
  for (let dropped = 0; ; dropped++) {
    if (!fit.fit(shots, use) || fit.used < 4) return null;
    let worst = -1;
    for (let i = 0; i < shots.n; i++) {
      if (use[i] === 0) continue;
      if (worst < 0 || Math.abs(fit.studentized[i]) > Math.abs(fit.studentized[worst])) worst = i;
    }
    if (Math.abs(fit.studentized[worst]) <= outlier) return use;
    if (dropped === 3) return null;
    use[worst] = 0;
  }
}

/** Theil-Sen line r = start + bend u. */
function fitWedge(u: number[], r: number[]): { start: number; bend: number } | null {
  const slopes: number[] = [];
  for (let i = 0; i < u.length; i++)
    for (let j = i + 1; j < u.length; j++)
      if (Math.abs(u[i] - u[j]) > 0.2) slopes.push((r[i] - r[j]) / (u[i] - u[j]));
  if (slopes.length === 0) return null;
  const bend = median(slopes);
  return { bend, start: median(u.map((x, i) => r[i] - bend * x)) };
}
