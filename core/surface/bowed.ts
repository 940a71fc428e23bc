import type { LinePiece } from './breakLines.ts';

/** A sagitta below this parts no shots that a straight piece would not part: metres. */
const leastSagitta = 0.01;
/** Two neighbouring pieces that turn by more than this meet in a corner, which no arc runs through. */
const sharpestTurn = Math.PI / 3;
/**
 * A shot nearer to a piece than this share of its length does not show how the line turns there: where the rod stood a
 * few centimetres beside the line counts for more. The next one is looked at.
 */
const leastLever = 1 / 3;
/** A line is not followed over more shots than this to find one far enough away. */
const mostStepsOn = 8;
/** Radius that a line of two shots is taken to have at the least, metres: a street's tightest. Common practice, no source. */
const tightest = 60;

/**
 * Lets straight pieces follow the curve that their line runs in. A line is surveyed at intervals and bends between its
 * shots: a piece of length L on a circle of radius R lies off it by up to L^2 / 8R. The curvature of a piece comes from
 * the circles through its ends and the next shot of the line on either side; on a circle and on a straight the shots are
 * met exactly. What the two circles differ by stays as the piece's `doubt`; two shots alone may lie on any curve. Each
 * piece is cut into chords that leave the arc by less than a centimetre.
 */
export function bowPieces(pieces: readonly LinePiece[]): LinePiece[] {
  const meeting = new Map<string, LinePiece[]>();
  const key = (e: number, n: number) => `${e},${n}`;
  for (const piece of pieces) {
    for (const end of [key(piece.e1, piece.n1), key(piece.e2, piece.n2)]) {
      const known = meeting.get(end);
      if (known) known.push(piece);
      else meeting.set(end, [piece]);
    }
  }
  return pieces.flatMap((piece) => {
    const joined = (e: number, n: number) => meeting.get(key(e, n))!;
    // Seen from the first end to the second, a turn to the left is positive at both.
    const before = curvatureAt(piece, joined, true);
    const after = curvatureAt(piece, joined, false);
    const known = [before, after].filter((c) => c !== null);
    const length = Math.hypot(piece.e2 - piece.e1, piece.n2 - piece.n1);
    const ends = { from: before === null ? -pastEnd : 0, to: after === null ? 1 + pastEnd : 1 };
    const sag = (curvature: number) => (Math.abs(curvature) * length * length) / 8;
    if (known.length === 0) return chordsOf(piece, { curvature: 0, doubt: sag(1 / tightest), ...ends });
    const curvature = known.reduce((sum, c) => sum + c, 0) / known.length;
    const spread = known.length === 2 ? (known[0] - known[1]) / 2 : curvature / 2;
    return chordsOf(piece, { curvature, doubt: sag(spread), ...ends });
  });
}

interface Step {
  east: number;
  north: number;
  /** Direction from where the step began, counter-clockwise from east. */
  way: number;
  over: LinePiece;
}

/**
 * Signed curvature of the circle through a piece and the next shot beyond one of its ends that shows the line's turn; null
 * where none runs on.
 */
function curvatureAt(
  piece: LinePiece,
  joined: (e: number, n: number) => readonly LinePiece[],
  atFirst: boolean,
): number | null {
  const [e, n] = atFirst ? [piece.e1, piece.n1] : [piece.e2, piece.n2];
  const along = Math.atan2(piece.n2 - piece.n1, piece.e2 - piece.e1);
  const outward = atFirst ? along + Math.PI : along;
  const length = Math.hypot(piece.e2 - piece.e1, piece.n2 - piece.n1);
  let last = stepOn({ east: e, north: n, way: outward, over: piece }, joined);
  const isTooNear = ({ east, north }: Step) => Math.hypot(east - e, north - n) < leastLever * length;
  for (let steps = 1; last !== null && isTooNear(last) && steps < mostStepsOn; steps++)
    last = stepOn(last, joined);
  if (last === null || isTooNear(last)) return null;
  const chord = Math.hypot(last.east - e, last.north - n);
  const away = angle(Math.atan2(last.north - n, last.east - e) - outward);
  const turn = atFirst ? -away : away;
  // The third side of the triangle stands on the turn: curvature = 2 sin(turn) / third side.
  const third = Math.sqrt(length * length + chord * chord + 2 * length * chord * Math.cos(turn));
  return (2 * Math.sin(turn)) / third;
}

/** The piece that runs straightest on from the end of another; null where the line ends or turns a corner. */
function stepOn(
  { east, north, way, over }: Step,
  joined: (e: number, n: number) => readonly LinePiece[],
): Step | null {
  let best: (Step & { turn: number }) | null = null;
  for (const other of joined(east, north)) {
    if (other === over) continue;
    const isStart = other.e1 === east && other.n1 === north;
    const [e, n] = isStart ? [other.e2, other.n2] : [other.e1, other.n1];
    const on = Math.atan2(n - north, e - east);
    const turn = Math.abs(angle(on - way));
    if (turn > sharpestTurn || (best && turn >= best.turn)) continue;
    best = { east: e, north: n, way: on, over: other, turn };
  }
  return best;
}

const angle = (a: number) => Math.atan2(Math.sin(a), Math.cos(a));

/** A line is surveyed at intervals and goes on past its last shot: by so much of its last piece. */
const pastEnd = 0.2;
/** A doubt is told in steps of this, metres, up to so many along a piece: it is least at the shots. */
const doubtStep = 0.1;
const mostSteps = 8;

interface Arc {
  /** To the left is positive; the arc bows out to the right then. */
  curvature: number;
  /** How far beside the arc the line may lie at its middle, metres. */
  doubt: number;
  /** Where along the piece the arc begins and ends: 0 and 1 at its shots. */
  from: number;
  to: number;
}

/** Chords of the arc over a piece. */
function chordsOf(piece: LinePiece, { curvature, doubt, from, to }: Arc): LinePiece[] {
  const [de, dn] = [piece.e2 - piece.e1, piece.n2 - piece.n1];
  const length = Math.hypot(de, dn);
  const sagitta = Math.abs((curvature * length * length) / 8);
  const isStraight = sagitta < leastSagitta;
  const isDoubted = doubt > leastSagitta;
  if (isStraight && !isDoubted) return [piece];
  const parts = Math.max(
    isStraight ? 1 : Math.ceil(Math.sqrt(sagitta / leastSagitta)),
    isDoubted ? Math.min(mostSteps, Math.ceil(doubt / doubtStep)) : 1,
  );
  const opening = 2 * Math.asin(Math.max(-1, Math.min(1, (curvature * length) / 2)));
  const at = (share: number): [number, number] => {
    if (share === 0) return [piece.e1, piece.n1];
    if (share === 1) return [piece.e2, piece.n2];
    if (isStraight) return [piece.e1 + share * de, piece.n1 + share * dn];
    // From the first end, the direction to a point of the arc turns by half of what the arc does up to it.
    const reach = (2 / curvature) * Math.sin((share * opening) / 2);
    const turn = ((share - 1) * opening) / 2;
    const [ux, uy] = [de / length, dn / length];
    const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
    return [piece.e1 + reach * (ux * cos - uy * sin), piece.n1 + reach * (ux * sin + uy * cos)];
  };
  const beside = (share: number) => doubt * Math.abs(4 * share * (1 - share));
  const chord = (a: number, b: number): LinePiece => {
    const [[e1, n1], [e2, n2]] = [at(a), at(b)];
    const most = Math.max(beside(a), beside(b), a < 0.5 && b > 0.5 ? doubt : 0);
    return { kind: piece.kind, e1, n1, e2, n2, ...(most > leastSagitta && { doubt: most }) };
  };
  const cut = (a: number, b: number) => {
    const count = Math.ceil((b - a) * parts);
    const share = (k: number) => (k === count ? b : a + (k * (b - a)) / count);
    return Array.from({ length: count }, (_, k) => chord(share(k), share(k + 1)));
  };
  return [...cut(from, 0), ...cut(0, 1), ...cut(1, to)];
}
