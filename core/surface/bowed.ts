import type { LinePiece } from './breakLines.ts';

/** A sagitta below this parts no shots that a straight piece would not part: metres. */
const leastSagitta = 0.01;
/** Two neighbouring pieces that turn by more than this meet in a corner, which no arc runs through. */
const sharpestTurn = Math.PI / 3;

/**
 * Lets straight pieces follow the curve that their line runs in. A line is surveyed at intervals and bends between its
 * shots: a piece of length L on a circle of radius R lies off it by up to L^2 / 8R. The curvature of a piece comes from
 * the circles through its ends and the next shot of the line on either side; on a circle and on a straight the shots are
 * met exactly. What the two circles differ by stays as the piece's `doubt`. Each piece is cut into chords that leave the
 * arc by less than a centimetre.
 */
export function bowPieces(pieces: readonly LinePiece[]): LinePiece[] {
  const ends = new Map<string, LinePiece[]>();
  const key = (e: number, n: number) => `${e},${n}`;
  for (const piece of pieces) {
    for (const end of [key(piece.e1, piece.n1), key(piece.e2, piece.n2)]) {
      const known = ends.get(end);
      if (known) known.push(piece);
      else ends.set(end, [piece]);
    }
  }
  return pieces.flatMap((piece) => {
    // Seen from the first end to the second, a turn to the left is positive at both.
    const before = curvatureAt(piece, ends.get(key(piece.e1, piece.n1))!, true);
    const after = curvatureAt(piece, ends.get(key(piece.e2, piece.n2))!, false);
    const known = [before, after].filter((c) => c !== null);
    if (known.length === 0) return [piece];
    const curvature = known.reduce((sum, c) => sum + c, 0) / known.length;
    const length = Math.hypot(piece.e2 - piece.e1, piece.n2 - piece.n1);
    const spread = known.length === 2 ? Math.abs(known[0] - known[1]) / 2 : Math.abs(curvature) / 2;
    return chordsOf(piece, curvature, (spread * length * length) / 8);
  });
}

/** Signed curvature of the circle through a piece and the next shot beyond one of its ends; null where none runs on. */
function curvatureAt(piece: LinePiece, joined: readonly LinePiece[], atFirst: boolean): number | null {
  const [e, n] = atFirst ? [piece.e1, piece.n1] : [piece.e2, piece.n2];
  const along = Math.atan2(piece.n2 - piece.n1, piece.e2 - piece.e1);
  const length = Math.hypot(piece.e2 - piece.e1, piece.n2 - piece.n1);
  let best: { turn: number; curvature: number } | null = null;
  for (const other of joined) {
    if (other === piece) continue;
    const isStart = other.e1 === e && other.n1 === n;
    const [far, north] = isStart ? [other.e2, other.n2] : [other.e1, other.n1];
    // Direction of the neighbour as one goes along the piece.
    const way = atFirst ? Math.atan2(n - north, e - far) : Math.atan2(north - n, far - e);
    const turn = atFirst ? angle(along - way) : angle(way - along);
    if (Math.abs(turn) > sharpestTurn || (best && Math.abs(turn) >= Math.abs(best.turn))) continue;
    const chord = Math.hypot(far - e, north - n);
    // The third side of the triangle stands on the turn: curvature = 2 sin(turn) / third side.
    const third = Math.sqrt(length * length + chord * chord + 2 * length * chord * Math.cos(turn));
    best = { turn, curvature: (2 * Math.sin(turn)) / third };
  }
  return best?.curvature ?? null;
}

const angle = (a: number) => Math.atan2(Math.sin(a), Math.cos(a));

/** Chords of the arc over a piece that turns left by `curvature`: it bows out to the right. */
function chordsOf(piece: LinePiece, curvature: number, doubt: number): LinePiece[] {
  const [de, dn] = [piece.e2 - piece.e1, piece.n2 - piece.n1];
  const length = Math.hypot(de, dn);
  const half = (curvature * length) / 2;
  const sagitta = Math.abs((curvature * length * length) / 8);
  const plain = doubt > leastSagitta ? { doubt } : {};
  if (sagitta < leastSagitta) return [{ ...piece, ...plain }];
  const parts = Math.ceil(Math.sqrt(sagitta / leastSagitta));
  const opening = 2 * Math.asin(Math.max(-1, Math.min(1, half)));
  const at = (share: number): [number, number] => {
    if (share === 0) return [piece.e1, piece.n1];
    if (share === 1) return [piece.e2, piece.n2];
    // From the first end, the direction to a point of the arc turns by half of what the arc does up to it.
    const reach = (2 / curvature) * Math.sin((share * opening) / 2);
    const turn = ((share - 1) * opening) / 2;
    const [ux, uy] = [de / length, dn / length];
    const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
    return [piece.e1 + reach * (ux * cos - uy * sin), piece.n1 + reach * (ux * sin + uy * cos)];
  };
  return Array.from({ length: parts }, (_, k): LinePiece => {
    const [[e1, n1], [e2, n2]] = [at(k / parts), at((k + 1) / parts)];
    return { kind: piece.kind, e1, n1, e2, n2, ...plain };
  });
}
