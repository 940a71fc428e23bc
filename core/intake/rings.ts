import type { RawPosition } from './types.ts';

type Ring = readonly RawPosition[];

/** Comparisons of one shape; past them a hole goes with the outline before it, as most writers order them. */
const mostComparisons = 100_000;

/**
 * Puts the rings of a shapefile polygon together: outlines run clockwise and holes the other way round; a hole belongs
 * to the outline it lies in. A shape without any clockwise ring has outlines only.
 */
export function groupRings(rings: readonly Ring[]): Ring[][] {
  if (rings.length === 1) return [[rings[0]]];
  const outline = rings.map((ring) => signedArea(ring) <= 0);
  if (!outline.includes(true)) return rings.map((ring) => [ring]);
  const groups: Ring[][] = rings.filter((_, i) => outline[i]).map((ring) => [ring]);
  let comparisons = 0;
  let before = 0;
  rings.forEach((ring, i) => {
    if (outline[i]) {
      before++;
      return;
    }
    let home = groups[Math.max(0, before - 1)];
    for (let j = 0; groups.length > 1 && j < groups.length && comparisons < mostComparisons; j++) {
      const group = groups[(Math.max(0, before - 1) + j) % groups.length];
      comparisons += 1 + group[0].length / 64;
      if (contains(group[0], ring[0])) {
        home = group;
        break;
      }
    }
    home.push(ring);
  });
  return groups;
}

/** Twice the area, positive for a ring that runs anticlockwise. */
function signedArea(ring: Ring): number {
  const [x0, y0] = ring[0];
  let sum = 0;
  for (let i = 1; i + 1 < ring.length; i++)
    sum += (ring[i][0] - x0) * (ring[i + 1][1] - y0) - (ring[i + 1][0] - x0) * (ring[i][1] - y0);
  return sum;
}

function contains(ring: Ring, [x, y]: RawPosition): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i];
    const [xj, yj] = ring[j];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}
