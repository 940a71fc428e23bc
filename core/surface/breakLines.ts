import { bowPieces } from './bowed.ts';
import { PointGrid } from './grid.ts';
import type { ShotRole } from './types.ts';

/** A straight piece of a crown or gutter line between two coded shots, in grid metres. */
export interface LinePiece {
  kind: 'crown' | 'gutter';
  e1: number;
  n1: number;
  e2: number;
  n2: number;
  /** How far the line may lie beside the piece, metres; absent for none. */
  doubt?: number;
}

/** Shots of one line farther apart than this are not joined. */
export const longestPiece = 32;

/**
 * A piece that may lie next to a place hangs on no shot farther from it than this. Its middle, or that of a fifth past its
 * end, lies within one longest piece and its far end within one more; it bends with a shot up to a third and one whole
 * piece beyond that; and whether that shot is joined hangs on two more pieces. 1 + 0.2 + 1 + 1/3 + 1 + 2 = 5.53.
 */
export const lineReach = 5.6 * longestPiece;

/**
 * Join coded shots into line pieces. Two shots of a kind are neighbours when no third lies nearer to both
 * (relative neighbourhood graph), which follows a line whatever the order of the shots. A piece that leaves a
 * straight run sideways is dropped: it would tie one line to the next across the street.
 */
export function joinLines(
  shots: readonly { east: number; north: number; role: ShotRole }[],
  kind: 'crown' | 'gutter',
): LinePiece[] {
  const points = withoutTwins(shots.filter((s) => s.role === kind));
  const east = Float64Array.from(points, (p) => p.east);
  const north = Float64Array.from(points, (p) => p.north);
  const grid = new PointGrid(east, north, longestPiece);
  const near: number[] = [];
  const links: number[][] = points.map(() => []);
  for (let i = 0; i < points.length; i++) {
    grid.within(east[i], north[i], longestPiece, near);
    const around = near.filter((j) => j !== i);
    const span = (a: number, b: number) => Math.hypot(east[a] - east[b], north[a] - north[b]);
    for (const j of around) {
      const length = span(i, j);
      if (around.some((k) => k !== j && Math.max(span(i, k), span(j, k)) < length)) continue;
      links[i].push(j);
    }
  }
  const azimuth = (i: number, j: number) => Math.atan2(east[j] - east[i], north[j] - north[i]);
  const turn = (a: number, b: number) => Math.abs(Math.atan2(Math.sin(a - b), Math.cos(a - b)));
  const sideLinks = (i: number, j: number) =>
    links[i].filter((k) => k !== j && sideways(turn(azimuth(i, k), azimuth(i, j))));
  const leavesSideways = (i: number, j: number) => {
    const side = sideLinks(i, j);
    return side.some((k) => side.some((m) => turn(azimuth(i, k), azimuth(i, m)) > (150 * Math.PI) / 180));
  };
  // Where two lines begin or end side by side, both run off to the same side of the piece between them, straight on.
  const runsOn = (i: number, k: number) =>
    links[k].some((m) => m !== i && turn(azimuth(i, k), azimuth(k, m)) < Math.PI / 6);
  const isRung = (i: number, j: number) =>
    sideLinks(i, j).some(
      (k) =>
        runsOn(i, k) &&
        sideLinks(j, i).some((m) => runsOn(j, m) && turn(azimuth(i, k), azimuth(j, m)) < Math.PI / 6),
    );
  const pieces: LinePiece[] = [];
  links.forEach((joined, i) => {
    for (const j of joined) {
      if (j < i || leavesSideways(i, j) || leavesSideways(j, i) || isRung(i, j)) continue;
      pieces.push({ kind, e1: east[i], n1: north[i], e2: east[j], n2: north[j] });
    }
  });
  return bowPieces(pieces);
}

/** Shots of a line nearer together than this are one place, shot twice: metres. */
const twins = 0.05;

/** The same shots without those that another one stands beside, whatever their order. */
function withoutTwins<Point extends { east: number; north: number }>(points: readonly Point[]): Point[] {
  const grid = new PointGrid(
    Float64Array.from(points, (p) => p.east),
    Float64Array.from(points, (p) => p.north),
    1,
  );
  const near: number[] = [];
  return points.filter((p, i) => {
    grid.within(p.east, p.north, twins, near);
    return !near.some((j) => {
      const q = points[j];
      return q.east < p.east || (q.east === p.east && (q.north < p.north || (q.north === p.north && j < i)));
    });
  });
}

const sideways = (angle: number) => angle > Math.PI / 4 && angle < (3 * Math.PI) / 4;

/** Nearest point of a piece to a place: its distance and position along the piece (0 to 1). */
export function nearestOnPiece(piece: LinePiece, east: number, north: number) {
  const de = piece.e2 - piece.e1;
  const dn = piece.n2 - piece.n1;
  const t = ((east - piece.e1) * de + (north - piece.n1) * dn) / (de * de + dn * dn);
  const along = Math.max(0, Math.min(1, t));
  const e = piece.e1 + along * de - east;
  const n = piece.n1 + along * dn - north;
  return { distance: Math.hypot(e, n), along, azimuth: Math.atan2(e, n) };
}

/** A shot nearer to the line than this stands on it, and belongs to both sides. */
const onLine = 0.03;

/**
 * Does the way from a cover to a shot cross the piece, or may it? Pieces are lengthened by a fifth of themselves at each end:
 * a line is surveyed at intervals and goes on past its last shot.
 */
export function crosses(piece: LinePiece, fromE: number, fromN: number, toE: number, toN: number): boolean {
  const de = piece.e2 - piece.e1;
  const dn = piece.n2 - piece.n1;
  const length = Math.hypot(de, dn);
  const from = ((fromE - piece.e1) * dn - (fromN - piece.n1) * de) / length;
  const to = ((toE - piece.e1) * dn - (toN - piece.n1) * de) / length;
  const aside = Math.abs(to);
  if (aside <= onLine) return false;
  // Where the line may lie on either side of a shot, the shot belongs to neither; so it may of the cover, and is asked about.
  const inDoubt = piece.doubt !== undefined && aside < piece.doubt && Math.abs(from) > piece.doubt;
  if (from * to >= 0 && !inDoubt) return false;
  const share = inDoubt ? 1 : from / (from - to);
  const e = fromE + share * (toE - fromE) - piece.e1;
  const n = fromN + share * (toN - fromN) - piece.n1;
  const along = (e * de + n * dn) / (length * length);
  return along > -0.2 && along < 1.2;
}
