import type { Policy } from '../plan/policy.ts';
import { planeOverBend } from './bend.ts';
import type { LinePiece } from './breakLines.ts';
import { decidePlane } from './decidePlane.ts';
import { leastBend } from './foundLine.ts';
import { gatherShots, nearbyPieces, nearestLine, type Place } from './nearShots.ts';
import type { Survey } from './survey.ts';
import type { BreakLine, FinishedGrade, NoGrade } from './types.ts';

/**
 * Share of the rim's radius by which it may stand out past the shots. A crown right behind the last of them bends the
 * surface under what stands out: by up to 4 % of 0.17 m, 7 mm, for a rim of 0.33 m. Common practice, no source.
 */
const mostOverhang = 0.5;

/** Does a rim stand out past the shots so far that a bend right behind them would matter under it? */
export const overhangs = ({ overhang = 0 }: { overhang?: number }, rimRadius: number): boolean =>
  overhang > mostOverhang * rimRadius;

/** Did a surface give an answer? */
export const isGrade = (answer: FinishedGrade | NoGrade): answer is FinishedGrade => 'elevation' in answer;

/**
 * Finished grade at a place from the shots of a survey: the plane of the place's own side of any crown or gutter,
 * blunders left out and named. A line that runs under the rim gives the best single plane over both sides.
 * Shots within the policy's limit come first; where they do not surround the place, farther ones up to its reach.
 */
export function finishedFromShots(survey: Survey, place: Place, policy: Policy): FinishedGrade | NoGrade {
  let pieces = nearbyPieces(survey, place);
  let line = nearestLine(pieces, place);
  let under: BreakLine | null = null;
  if (line && mayLieUnder(line, place)) {
    const over = overCodedLine(survey, place, { line, pieces, policy });
    if (over && Math.abs(over.bend) >= leastBend) return over.grade;
    // Across a superelevated road a coded centre line is no crown: both sides are one plane.
    if (over) {
      const { kind } = line;
      pieces = pieces.filter((p) => p.kind !== kind);
      line = nearestLine(pieces, place);
    } else {
      // One side has no plane to go by, which takes nothing from where the line is.
      const { kind, distance, azimuth, piece } = line;
      under = { kind, distance: Math.max(0, distance - (piece.doubt ?? 0)), azimuth };
    }
  }
  const ask = (reach: number): FinishedGrade | NoGrade => {
    const { index, nearest } = gatherShots(survey, place, pieces, reach);
    return nearest <= policy.shotLimit
      ? decidePlane({ survey, place, index, line, nearest, sameplace: policy.sameplace })
      : noShots(gatherShots(survey, place, pieces, policy.reachLimit).nearest, policy);
  };
  const isWhole = (found: FinishedGrade | NoGrade) => isGrade(found) && !overhangs(found, place.rimRadius);
  let answer = ask(policy.shotLimit);
  // Farther shots are asked where the near ones do not surround the rim; what those do not better stays as it was.
  for (let reach = 1.25 * policy.shotLimit; reach <= policy.reachLimit; reach *= 1.25) {
    if (isWhole(answer) || ('reason' in answer && answer.reason === 'noShots')) break;
    const wider = ask(reach);
    if (!isGrade(answer) || isWhole(wider)) answer = wider;
  }
  return under && isGrade(answer) ? { ...answer, breakLine: under } : answer;
}

const noShots = (nearest: number, { shotLimit }: Policy): NoGrade => ({
  reason: 'noShots',
  nearest: Number.isFinite(nearest) ? nearest : null,
  limit: shotLimit,
});

/** A line that was shot at intervals on a curve is known only so well between them. */
const mayLieUnder = ({ distance, piece }: { distance: number; piece: LinePiece }, { rimRadius }: Place) =>
  distance < rimRadius + (piece.doubt ?? 0);

/**
 * The best plane over a coded line under the rim: a plane for each side, then the least misfit to both. `bend` is the
 * change of gradient across the line. Null where one side has no plane of its own.
 */
function overCodedLine(
  survey: Survey,
  place: Place,
  near: { line: BreakLine & { piece: LinePiece }; pieces: LinePiece[]; policy: Policy },
): { grade: FinishedGrade; bend: number } | null {
  const { line, pieces, policy } = near;
  const { piece } = line;
  const length = Math.hypot(piece.e2 - piece.e1, piece.n2 - piece.n1);
  // Normal of the line, turned so that it points from the place to the line.
  let ux = (piece.n2 - piece.n1) / length;
  let uy = (piece.e1 - piece.e2) / length;
  const offset = (piece.e1 - place.east) * ux + (piece.n1 - place.north) * uy;
  if (offset < 0) {
    ux = -ux;
    uy = -uy;
  }
  const distance = Math.abs(offset);
  const past = (i: number) =>
    (survey.east[i] - place.east) * ux + (survey.north[i] - place.north) * uy - distance;
  const others = pieces.filter((p) => p.kind !== piece.kind);
  const { index, nearest } = gatherShots(survey, place, others, policy.reachLimit / 2);
  // Each side alone need not surround the cover, so a side is asked for at a place of its own.
  const side = (members: number[]) => {
    const mean = (column: Float64Array) => members.reduce((s, i) => s + column[i] / members.length, 0);
    const own = { ...place, east: mean(survey.east), north: mean(survey.north) };
    const square = (i: number) => (survey.east[i] - own.east) ** 2 + (survey.north[i] - own.north) ** 2;
    const sorted = [...members].sort((a, b) => square(a) - square(b));
    const grade = decidePlane({
      survey,
      place: own,
      index: sorted,
      line,
      nearest,
      sameplace: policy.sameplace,
    });
    if (!isGrade(grade)) return null;
    const [a, b] = grade.gradient;
    const elevation = grade.elevation + a * (place.east - own.east) + b * (place.north - own.north);
    return { ...grade, elevation };
  };
  const mine = side(index.filter((i) => past(i) <= 0.03));
  const theirs = side(index.filter((i) => past(i) >= -0.03));
  if (!mine || !theirs) return null;
  const bend = (theirs.gradient[0] - mine.gradient[0]) * ux + (theirs.gradient[1] - mine.gradient[1]) * uy;
  return { grade: planeOverBend(mine, { ux, uy, distance, bend }, place.rimRadius), bend };
}
