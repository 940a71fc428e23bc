import { type Bend, planeOverBend } from './bend.ts';
import { findConsensus, outlier } from './consensus.ts';
import { costWithoutLine, findLine, lineCost } from './foundLine.ts';
import { pastHull } from './hull.ts';
import { chiSquareLimit, LocalFit, makeLocalShots } from './localFit.ts';
import { loadShots, mostShots, type Place, whyUnfit } from './nearShots.ts';
import type { Survey } from './survey.ts';
import type { BreakLine, FinishedGrade, FinishedMethod, NoGrade } from './types.ts';

/** Work area, reused from cover to cover. */
const shots = makeLocalShots(mostShots);
const fit = new LocalFit(mostShots);
const everyShot = new Uint8Array(mostShots).fill(1);

/** What a plane is decided from. */
export interface PlaneQuestion {
  survey: Survey;
  place: Place;
  /** Shots to use, nearest first. */
  index: readonly number[];
  /** The coded line next to the place, if any. */
  line: BreakLine | null;
  /** Distance of the nearest shot. */
  nearest: number;
  /** Below which distance two shots are one place. */
  sameplace: number;
}

/**
 * The plane through shots about a place: all of them where they agree within their sigmas, else the surface that
 * most of the near ones lie in, with the others named as blunders or found to lie past a line.
 */
export function decidePlane(question: PlaneQuestion): FinishedGrade | NoGrade {
  const choice = choosePlane(question);
  if ('reason' in choice) return choice;
  const grade = report(question, choice);
  return choice.under ? planeOverBend(grade, choice.under, question.place.rimRadius) : grade;
}

/** What the shots of a plane say of their own scatter. */
export interface Spare {
  /** Number of the shot in its survey. */
  shot: number;
  isUsed: boolean;
  /** Residual over its own standard deviation. */
  studentized: number;
  /** Share of the shot's variance that is left in its residual. */
  redundancy: number;
}

/**
 * The residuals at a place: of the shots that its plane is decided from, and of those left out, whose residuals owe the
 * plane nothing. None where there is no plane.
 */
export function sparesOf(question: PlaneQuestion): Spare[] {
  const choice = choosePlane(question);
  if ('reason' in choice) return [];
  const spares: Spare[] = [];
  question.index.forEach((shot, k) => {
    if (choice.beyond?.[k] === 1) return;
    const isUsed = choice.use[k] === 1;
    spares.push({
      shot,
      isUsed,
      studentized: fit.studentized[k],
      redundancy: isUsed ? fit.redundancy[k] : 1,
    });
  });
  return spares;
}

/** Decide which shots make the plane; `fit` is then that of them. */
function choosePlane(question: PlaneQuestion): Choice | NoGrade {
  const { survey, place, index, line, sameplace } = question;
  const mean = loadShots(survey, place, index, shots);
  const failure = whyUnfit(shots, place.rimRadius, sameplace);
  if (failure) return failure;
  let clean = fit.fit(shots) && fit.chiSquare <= chiSquareLimit(shots.n - 3);
  for (let i = 0; clean && i < shots.n; i++) clean = Math.abs(fit.studentized[i]) <= outlier;
  if (!clean) return decideByConsensus(question, mean);
  const method = methodFor(line);
  return { mean, use: everyShot, beyond: null, method, line, inflation: 1, doubt: 0, under: null };
}

/** A coded line farther away than every shot parts nothing. */
const methodFor = (line: BreakLine | null): FinishedMethod =>
  line && line.distance < shots.d[shots.n - 1] ? 'ownSide' : 'plane';

function decideByConsensus(question: PlaneQuestion, mean: number): Choice | NoGrade {
  const { place, line: coded, sameplace } = question;
  const consensus = findConsensus(shots, fit);
  if (!consensus) return { reason: 'collinear', count: shots.n };
  const plain = costWithoutLine(shots, fit, consensus.use);
  const line = findLine(shots, fit, { roadBearing: place.roadBearing, most: plain - lineCost });
  // A near side that is itself one line of shots makes no plane, however little it costs.
  const stands = line !== null && whyUnfit(shots, Infinity, sameplace, line.use) === null;
  const found = stands ? line : null;
  const use = found?.use ?? consensus.use;
  // Where nobody knows which way the road runs, the line may run otherwise too than it was found to.
  const doubt = found && place.roadBearing === null ? found.doubt : 0;
  const under = found !== null && found.distance - doubt < place.rimRadius;
  // Shots past a line that they show themselves surround the place too: up to that line the near plane goes on. Which way
  // the line runs has to be known for that, unless it is under the rim.
  const around =
    found && (under || place.roadBearing !== null) ? use.map((own, i) => own | found.beyond[i]) : use;
  const failure = whyUnfit(shots, place.rimRadius, sameplace, around);
  if (failure) return failure;
  fit.fit(shots, use);
  const strain = fit.chiSquare / chiSquareLimit(fit.used - 3);
  return {
    mean,
    use,
    beyond: found?.beyond ?? null,
    method: found ? 'foundSide' : methodFor(coded),
    line: found
      ? {
          kind: found.bend < 0 ? 'crown' : 'gutter',
          distance: found.distance,
          azimuth: Math.atan2(found.ux, found.uy),
        }
      : coded,
    inflation: Math.sqrt(Math.max(1, strain)),
    doubt: found ? 0 : consensus.doubt,
    under: under ? { ...found, distance: Math.min(found.distance, place.rimRadius) } : null,
  };
}

interface Choice {
  /** Taken off the elevations before the fit. */
  mean: number;
  use: Uint8Array;
  /** Shots past a found line: no part of this side, and no blunders. */
  beyond: Uint8Array | null;
  method: FinishedMethod;
  line: BreakLine | null;
  /** Factor on the sigmas where the shots fit worse than they claim. */
  inflation: number;
  /** Half of what two readings of the shots differ by in level. */
  doubt: number;
  /** A found line that runs under the rim. */
  under: Bend | null;
}

function report(
  { survey, place, index, nearest }: PlaneQuestion,
  { mean, use, beyond, method, line, inflation, doubt }: Choice,
): FinishedGrade {
  const points: string[] = [];
  const rejected: FinishedGrade['rejected'] = [];
  let reach = 0;
  for (let k = 0; k < shots.n; k++) {
    const point = survey.shots.name(index[k]);
    if (use[k] === 1) {
      points.push(point);
      reach = Math.max(reach, shots.d[k]);
    } else if (beyond?.[k] !== 1) rejected.push({ point, residual: fit.residual[k] });
  }
  const sigma = (own: number) => (survey.allowance ? Math.hypot(own * inflation, doubt) : 0);
  return {
    elevation: mean + fit.level,
    gradient: [fit.east, fit.north],
    sigma: sigma(fit.sigmaCentre()),
    sigmaRim: sigma(fit.sigmaRim(place.rimRadius)),
    method,
    surface: survey.name,
    shotsUsed: points.length,
    points,
    rejected,
    reach,
    nearest,
    breakLine: line && { kind: line.kind, distance: line.distance, azimuth: line.azimuth },
    unitVariance: fit.chiSquare / Math.max(1, fit.used - 3),
    misfit: 0,
    overhang: overhangOf(place.rimRadius, { use, beyond, method }),
  };
}

/** Shots past a known line surround a rim as well; a coded line itself bounds what is known of the place's own side. */
function overhangOf(
  rimRadius: number,
  { use, beyond, method }: Pick<Choice, 'use' | 'beyond' | 'method'>,
): number {
  if (method === 'ownSide') return 0;
  const around = beyond ? use.map((own, i) => own | beyond[i]) : use;
  return pastHull(rimRadius, shots, around);
}
