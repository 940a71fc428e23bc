import { type LinePiece, longestPiece } from './breakLines.ts';
import { PointGrid } from './grid.ts';
import type { Survey } from './survey.ts';

/** A crown or gutter line as it was drawn, corners in grid metres. */
export interface DrawnLine {
  kind: 'crown' | 'gutter';
  corners: readonly (readonly [east: number, north: number])[];
}

/** Corners nearer together than this say nothing of the way a line runs. */
const leastPiece = 0.5;

/** A drawn line as pieces short enough for the look-up of neighbours; none for a line without length. */
export function cutLine({ kind, corners }: DrawnLine): LinePiece[] {
  const kept: [number, number][] = [];
  corners.forEach(([east, north], i) => {
    const last = kept.at(-1);
    const length = last ? Math.hypot(east - last[0], north - last[1]) : Infinity;
    if (length >= leastPiece) kept.push([east, north]);
    else if (i === corners.length - 1 && kept.length > 1) kept[kept.length - 1] = [east, north];
  });
  return kept.slice(1).flatMap(([e2, n2], i) => {
    const [e1, n1] = kept[i];
    const parts = Math.ceil(Math.hypot(e2 - e1, n2 - n1) / longestPiece);
    const at = (share: number) => ({ e: e1 + share * (e2 - e1), n: n1 + share * (n2 - n1) });
    return Array.from({ length: parts }, (_, k): LinePiece => {
      const [from, to] = [at(k / parts), at((k + 1) / parts)];
      return { kind, e1: from.e, n1: from.n, e2: to.e, n2: to.n };
    });
  });
}

/** A survey whose break lines are those joined from coded shots and the drawn ones. */
export function withDrawnLines(survey: Survey, drawn: readonly LinePiece[]): Survey {
  if (drawn.length === 0) return survey;
  const pieces = [...survey.pieces, ...drawn];
  return {
    ...survey,
    pieces,
    pieceGrid: new PointGrid(
      Float64Array.from(pieces, (p) => (p.e1 + p.e2) / 2),
      Float64Array.from(pieces, (p) => (p.n1 + p.n2) / 2),
      longestPiece / 2,
    ),
  };
}
