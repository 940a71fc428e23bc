import type { LocalFit, LocalShots } from './localFit.ts';
import { median } from './robust.ts';

/** A bend of the surface seen in the shots that do not fit the cover's own side. */
export interface FoundLine {
  /** Unit vector from the cover to the line. */
  ux: number;
  uy: number;
  /** Distance from the cover to the line. */
  distance: number;
  /** Change of gradient across the line along that vector: negative over a crown. */
  bend: number;
}

/**
 * Beyond a crown or gutter the surface leaves the cover's plane by bend x (distance past the line). Three or more
 * outlying shots that show such a wedge are no blunders, and where the wedge closes is the line. The direction is
 * the road's where it is known, else it is found; null where the outliers show no wedge.
 * `fit` must hold the fit to the shots that `use` marks.
 */
export function findLine(
  shots: LocalShots,
  fit: LocalFit,
  use: Uint8Array,
  roadBearing: number | null,
): FoundLine | null {
  const out: number[] = [];
  for (let i = 0; i < shots.n; i++) if (use[i] === 0) out.push(i);
  if (out.length < 3) return null;
  const directions =
    roadBearing === null
      ? Array.from({ length: 24 }, (_, k) => (Math.PI * k) / 12)
      : [roadBearing + Math.PI / 2, roadBearing - Math.PI / 2];
  let best: { line: FoundLine; spread: number } | null = null;
  for (const azimuth of directions) {
    const ux = Math.sin(azimuth);
    const uy = Math.cos(azimuth);
    const beyond = out.filter((i) => ux * shots.x[i] + uy * shots.y[i] > 0);
    if (beyond.length < 3 || beyond.length < 0.6 * out.length) continue;
    const wedge = fitWedge(
      beyond.map((i) => ux * shots.x[i] + uy * shots.y[i]),
      beyond.map((i) => fit.residual[i]),
    );
    if (!wedge || Math.abs(wedge.bend) < 0.004) continue;
    const distance = -wedge.start / wedge.bend;
    const farthest = Math.max(...beyond.map((i) => ux * shots.x[i] + uy * shots.y[i]));
    if (distance < -0.5 || distance > farthest) continue;
    const noise = median(beyond.map((i) => shots.sigma[i]));
    if (wedge.spread > 6 * noise && wedge.spread > 0.15 * wedge.size) continue;
    // Shots on the near side of such a line must not be the outlying ones, nor the far ones fit.
    if (!best || wedge.spread < best.spread)
      best = { line: { ux, uy, distance: Math.max(0, distance), bend: wedge.bend }, spread: wedge.spread };
  }
  return best?.line ?? null;
}

/** Theil-Sen line r = start + bend u, with the median departure from it and the median size of r. */
function fitWedge(u: number[], r: number[]) {
  const slopes: number[] = [];
  for (let i = 0; i < u.length; i++)
    for (let j = i + 1; j < u.length; j++)
      if (Math.abs(u[i] - u[j]) > 0.2) slopes.push((r[i] - r[j]) / (u[i] - u[j]));
  if (slopes.length === 0) return null;
  const bend = median(slopes);
  const start = median(u.map((x, i) => r[i] - bend * x));
  return {
    bend,
    start,
    spread: median(u.map((x, i) => Math.abs(r[i] - start - bend * x))) * 1.4826,
    size: median(r.map(Math.abs)),
  };
}
