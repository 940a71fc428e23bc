import type { RingInPlace, StackTarget } from '#core/stack/rigid.ts';
import type { Objective, Ring, RingCatalogue } from '#core/stack/types.ts';
import { errorAt, poseOf } from './pose.ts';

/** A stack met by trying everything. */
export interface Tried {
  count: number;
  cost: number;
  worst: number;
  rings: (RingInPlace & { id: string })[];
}

/** Every way to take flat rings, none included, without a thought for height. */
function multisets(rings: readonly Ring[], most: number): Ring[][] {
  if (rings.length === 0) return [[]];
  const [first, ...rest] = rings;
  const all: Ring[][] = [];
  for (let k = 0; k <= Math.min(first.maxPerStack, most); k++)
    for (const others of multisets(rest, most - k)) all.push([...Array<Ring>(k).fill(first), ...others]);
  return all;
}

const place = (ring: Ring, azimuth = 0): RingInPlace & { id: string } => ({ ...ring, azimuth });
const slopeOf = (ring: Ring) => (ring.thick - ring.thin) / ring.outerDiameter;

/** Every choice of at most two tapered rings, in either order, turned every way that can be best: each mark, or by the law of cosines. */
function taperings({ rings, indexPositions, maxRings }: RingCatalogue, target: StackTarget) {
  const tapered = rings.filter((r) => r.thick > r.thin && r.maxPerStack > 0);
  const marks = Array.from(
    { length: indexPositions },
    (_, i) => target.markBearing + (2 * Math.PI * i) / indexPositions,
  );
  const want = [target.gradient[0] - target.seatGradient[0], target.gradient[1] - target.seatGradient[1]];
  const steep = Math.hypot(want[0], want[1]);
  const toward = steep === 0 ? target.markBearing : Math.atan2(want[0], want[1]);
  const angles = (t: number, u: number): [number, number][] => {
    if (steep >= t + u) return [[toward, toward]];
    if (steep + Math.min(t, u) <= Math.max(t, u))
      return [t > u ? [toward, toward + Math.PI] : [toward + Math.PI, toward]];
    const one = Math.acos((steep * steep + t * t - u * u) / (2 * steep * t));
    const two = Math.acos((steep * steep + u * u - t * t) / (2 * steep * u));
    return [
      [toward + one, toward - two],
      [toward - one, toward + two],
    ];
  };
  const all: (RingInPlace & { id: string })[][] = [[]];
  tapered.forEach((one, i) => {
    for (const azimuth of indexPositions > 0 ? marks : [toward]) all.push([place(one, azimuth)]);
    for (const two of tapered.slice(i)) {
      if (two === one && one.maxPerStack < 2) continue;
      const pairs =
        indexPositions > 0
          ? marks.flatMap((p) => marks.map((q): [number, number] => [p, q]))
          : angles(slopeOf(one), slopeOf(two));
      for (const [p, q] of pairs) {
        all.push([place(one, p), place(two, q)]);
        if (one !== two) all.push([place(two, q), place(one, p)]);
      }
    }
  });
  return all.filter((t) => t.length <= maxRings);
}

/** Every legal stack whose worst rim error is at most `cap`, each composed exactly. A flat ring under the tapered ones lifts the whole along the seat's normal. */
export function* everyStack(catalogue: RingCatalogue, target: StackTarget, cap = Infinity): Generator<Tried> {
  const { joint, maxRings, maxChimney } = catalogue;
  const flats = catalogue.rings.filter((r) => r.thick === r.thin);
  const sets = multisets(flats, maxRings).map((set) => ({
    set: set.map((r) => place(r)),
    height: set.reduce((h, r) => h + r.thin, 0),
    cost: set.reduce((c, r) => c + (r.cost ?? 0), 0),
  }));
  const [p, q] = target.seatGradient;
  const lift = (1 + target.gradient[0] * p + target.gradient[1] * q) / Math.hypot(1, p, q);
  for (const tapers of taperings(catalogue, target)) {
    const pose = poseOf(target, tapers, joint);
    const centre = errorAt(target, pose, 0, 0);
    const sway = Math.hypot(
      errorAt(target, pose, Math.PI / 2, target.rimRadius) - centre,
      errorAt(target, pose, 0, target.rimRadius) - centre,
    );
    if (sway > cap) continue;
    const mean = tapers.reduce((h, r) => h + (r.thin + r.thick) / 2, 0);
    const price = tapers.reduce((c, r) => c + (catalogue.rings.find((x) => x.id === r.id)?.cost ?? 0), 0);
    for (const { set, height, cost } of sets) {
      const count = set.length + tapers.length;
      if (count > maxRings) continue;
      const joints = count === 0 ? joint.base : joint.base + joint.top + (count - 1) * joint.between;
      if (count > 0 && height + mean + joints > maxChimney + 1e-9) continue;
      const own =
        tapers.length === 0 ? joint.base : joint.base + joint.top + (tapers.length - 1) * joint.between;
      const worst = Math.abs(centre + lift * (height + joints - own)) + sway;
      if (worst <= cap) yield { count, cost: cost + price, worst, rings: [...set, ...tapers] };
    }
  }
}

/** The best of all stacks under an objective, with those whose worst rim error is at most `limit` counting as fit. */
export function bestOfAll(
  catalogue: RingCatalogue,
  target: StackTarget,
  { objective, limit }: { objective: Objective; limit: number },
): Tried {
  const group = (t: Tried) => (objective === 'closest' ? 0 : objective === 'fewest' ? t.count : t.cost);
  // A tenth of a micrometre is a tie, and then fewer rings are better.
  const nearer = (a: Tried, b: Tried) =>
    a.worst < b.worst - 1e-7 || (a.worst < b.worst + 1e-7 && a.count < b.count);
  let fit: Tried | null = null;
  let closest: Tried | null = null;
  for (const t of everyStack(catalogue, target)) {
    if (closest === null || nearer(t, closest)) closest = t;
    if (t.worst > limit) continue;
    const by = fit === null ? -1 : group(t) - group(fit);
    if (by < -1e-9 || (by < 1e-9 && nearer(t, fit!))) fit = t;
  }
  return objective === 'closest' || fit === null ? closest! : fit;
}
