import { chiSquareLimit, type LocalFit, type LocalShots } from './localFit.ts';

/** Residual over its standard deviation past which a shot does not belong to the surface. */
export const outlier = 3.5;

export interface Consensus {
  /** 1 for each shot on the surface that the cover stands in. */
  use: Uint8Array;
  used: number;
  /** Chi-square over its limit; at most 1 for an adequate fit. */
  strain: number;
  /** Half the level difference to another reading of the shots that explains them nearly as well; 0 if none. */
  doubt: number;
}

interface Hypothesis {
  score: number;
  level: number;
  use: Uint8Array;
  used: number;
  strain: number;
}

const nearestTried = 12;
const kept = 8;

/**
 * Find the surface that the cover stands in among shots of which some are blunders or lie beyond a crown, gutter
 * or curb. Planes through three of the nearest shots are scored by how many shots they explain, near ones counting
 * more; the best are refined by refitting to what they explain. (The idea is random sample consensus, Fischler &
 * Bolles 1981, with every sample tried and a bounded loss.) Shots must be sorted by distance.
 * Returns null when no three shots span a plane.
 */
export function findConsensus(shots: LocalShots, fit: LocalFit): Consensus | null {
  const weight = new Float64Array(shots.n);
  for (let i = 0; i < shots.n; i++) weight[i] = 1 / (1 + (shots.d[i] / 3) ** 2);
  const starts = scoreTriples(shots, weight);
  let best: Hypothesis | null = null;
  const refined: Hypothesis[] = [];
  for (const start of starts) {
    const hypothesis = refine(shots, weight, fit, start);
    if (!hypothesis) continue;
    refined.push(hypothesis);
    if (!best || hypothesis.score < best.score) best = hypothesis;
  }
  if (!best) return null;
  const found = best;
  let doubt = 0;
  for (const other of refined) {
    // Two shots' worth of loss apart is a clear decision; closer than that is not.
    if (other.score > found.score + 2 * outlier * outlier * weight[0]) continue;
    if (other.strain > 1 && found.strain <= 1) continue;
    doubt = Math.max(doubt, Math.abs(other.level - found.level) / 2);
  }
  fit.fit(shots, found.use);
  return { use: found.use, used: found.used, strain: found.strain, doubt };
}

interface Plane {
  a: number;
  b: number;
  c: number;
}

function scoreTriples(shots: LocalShots, weight: Float64Array): Plane[] {
  const { x, y, z, d, sigma, n } = shots;
  const most = Math.min(n, nearestTried);
  const found: { plane: Plane; score: number }[] = [];
  for (let i = 0; i < most; i++)
    for (let j = i + 1; j < most; j++)
      for (let k = j + 1; k < most; k++) {
        const x1 = x[j] - x[i];
        const y1 = y[j] - y[i];
        const x2 = x[k] - x[i];
        const y2 = y[k] - y[i];
        const area = x1 * y2 - x2 * y1;
        // Thinner triangles than this throw noise about like a lever.
        const longest = Math.max(x1 * x1 + y1 * y1, x2 * x2 + y2 * y2, (x2 - x1) ** 2 + (y2 - y1) ** 2);
        if (Math.abs(area) < 0.15 * longest) continue;
        const a = ((z[j] - z[i]) * y2 - (z[k] - z[i]) * y1) / area;
        const b = (x1 * (z[k] - z[i]) - x2 * (z[j] - z[i])) / area;
        const c = z[i] - a * x[i] - b * y[i];
        const size = Math.sqrt(longest);
        let score = 0;
        const noise = (sigma[i] ** 2 + sigma[j] ** 2 + sigma[k] ** 2) / 3;
        const cx = (x[i] + x[j] + x[k]) / 3;
        const cy = (y[i] + y[j] + y[k]) / 3;
        for (let s = 0; s < n; s++) {
          const r = z[s] - c - a * x[s] - b * y[s];
          const away = ((x[s] - cx) ** 2 + (y[s] - cy) ** 2) / (size * size);
          const spread = sigma[s] ** 2 + Math.min(9, 0.4 + 4 * away) * noise + (2e-4 * d[s] * d[s]) ** 2;
          const t = (r * r) / spread;
          score += weight[s] * Math.min(t, outlier * outlier);
        }
        found.push({ plane: { a, b, c }, score });
      }
  found.sort((p, q) => p.score - q.score);
  return found.slice(0, kept).map((f) => f.plane);
}

function refine(
  shots: LocalShots,
  weight: Float64Array,
  fit: LocalFit,
  { a, b, c }: Plane,
): Hypothesis | null {
  const { x, y, z, sigma, n } = shots;
  let use: Uint8Array = new Uint8Array(n);
  for (let s = 0; s < n; s++) {
    const r = Math.abs(z[s] - c - a * x[s] - b * y[s]);
    use[s] = r <= 2 * outlier * sigma[s] ? 1 : 0;
  }
  for (let round = 0; round < 6; round++) {
    if (!fit.fit(shots, use)) return null;
    const next = new Uint8Array(n);
    let changed = false;
    for (let s = 0; s < n; s++) {
      next[s] = Math.abs(fit.studentized[s]) <= outlier ? 1 : 0;
      if (next[s] !== use[s]) changed = true;
    }
    if (!changed || round === 5) break;
    use = next;
  }
  let score = 0;
  for (let s = 0; s < n; s++) {
    const t = fit.residual[s] / sigma[s];
    score += weight[s] * (use[s] === 1 ? Math.min(t * t, outlier * outlier) : outlier * outlier);
  }
  const freedom = fit.used - 3;
  const strain = freedom < 1 ? Infinity : fit.chiSquare / chiSquareLimit(freedom);
  return { score, level: fit.level, use, used: fit.used, strain };
}
