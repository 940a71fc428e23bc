import type { Policy } from '../plan/policy.ts';
import { finishedFromShots, isGrade } from './finished.ts';
import { gatherShots, nearbyPieces, type Place } from './nearShots.ts';
import { leastTrimmedSquares, median } from './robust.ts';
import type { Survey } from './survey.ts';

/** Neighbourhoods looked at: enough for a sigma good to a few percent, few enough to cost nothing. */
const sample = 120;

/** No survey is believed to be better than this: elevations are written to the millimetre or hundredth of a foot. */
const leastSigma = 1e-4;

/**
 * Estimate the standard deviation of one shot over the whole survey and set it for every shot that recorded none.
 * First from trimmed planes through the nearest shots of many places, which blunders and bends cannot pull; then
 * refined from the residuals of the planes themselves. One cover's few residuals never decide.
 * A survey with too little redundancy keeps the assumed sigma, and says so in `sigmaFrom`.
 */
export function estimateSigma(survey: Survey, places: readonly Place[], policy: Policy): Survey {
  if (survey.sigmaFrom !== 'assumed' || survey.shots.length < 6) return survey;
  const deviations = (sites: Place[]) => sites.flatMap((p) => trimmedDeviation(survey, p, policy) ?? []);
  let chosen = spread(places, sample);
  let first = deviations(chosen);
  if (first.length < 3) {
    // Too few covers to show it: look about the shots themselves.
    chosen = spread(survey.shots, sample).map((s) => ({ ...s, rimRadius: 0.3, roadBearing: null }));
    first = deviations(chosen);
    if (first.length < 8) return survey;
  }
  let current = withSigma(survey, Math.max(leastSigma, median(first)), policy);
  // Before any plane votes, a trimmed one of six to nine shots has some three to spare.
  let freedom = 3 * first.length;
  for (let round = 0; round < 3; round++) {
    const found = residualFactor(current, chosen, policy);
    if (found === null) break;
    freedom = found.freedom;
    current = withSigma(survey, Math.max(leastSigma, current.shotSigma * found.factor), policy);
    if (Math.abs(found.factor - 1) < 0.02) break;
  }
  // Neighbourhoods that share shots do not count them twice.
  const spare = Math.min(freedom, survey.shots.length / 2);
  return spare >= plenty ? current : withSigma(survey, current.shotSigma * upperFactor(spare), policy);
}

/** With so many spare observations the sigma found is good to a tenth, and taken as it is. */
const plenty = 60;

/**
 * How much larger sigma may be than it was found, once in ten times, with so many spare observations: a handful of
 * covers shows little, and what they do not show must not be cut from. Chi-square by Wilson-Hilferty.
 */
function upperFactor(freedom: number): number {
  const k = Math.max(3, freedom);
  const c = 2 / (9 * k);
  return Math.sqrt(1 / (1 - c - 1.2816 * Math.sqrt(c)) ** 3);
}

/** Evenly spaced members of a list, at most `most`. */
function spread<T>(list: readonly T[], most: number): T[] {
  if (list.length <= most) return [...list];
  return Array.from({ length: most }, (_, i) => list[Math.floor((i * list.length) / most)]);
}

function withSigma(survey: Survey, sigma: number, policy: Policy): Survey {
  const ownRecord = policy.shotSigma === null;
  return {
    ...survey,
    shotSigma: sigma,
    sigmaFrom: 'estimated',
    sigma: Float64Array.from(survey.shots, (s) => (ownRecord && s.sigma !== null ? s.sigma : sigma)),
  };
}

/** Deviation of the nearest shots from their trimmed plane; null where they are too few. */
function trimmedDeviation(survey: Survey, place: Place, policy: Policy): number | null {
  const pieces = nearbyPieces(survey, place);
  const index = gatherShots(survey, place, pieces, policy.shotLimit).index.slice(0, 9);
  const n = index.length;
  if (n < 6) return null;
  const rows = index.map((i) => [1, survey.east[i] - place.east, survey.north[i] - place.north]);
  const values = index.map((i) => survey.elevation[i] - survey.elevation[index[0]]);
  const trimmed = leastTrimmedSquares(rows, values, Math.max(5, Math.ceil(0.7 * n)));
  if (!trimmed) return null;
  const [c, a, b] = trimmed.coefficients;
  const residuals = rows.map((row, i) => Math.abs(values[i] - c - a * row[1] - b * row[2]));
  // Median absolute residual to sigma (1.4826 for a normal law), enlarged for the three unknowns.
  return 1.4826 * median(residuals) * Math.sqrt(n / (n - 3));
}

/** How much larger the planes' studentized residuals are than their sigmas say; null where none could be made. */
function residualFactor(
  survey: Survey,
  places: readonly Place[],
  policy: Policy,
): { factor: number; freedom: number } | null {
  const squares: number[] = [];
  let freedom = 0;
  for (const place of places) {
    const grade = finishedFromShots(survey, place, policy);
    if (!isGrade(grade) || grade.shotsUsed < 6 || grade.method === 'compromise') continue;
    // Median of a chi-square per degree of freedom, brought to its mean (Wilson-Hilferty).
    squares.push(grade.unitVariance / (1 - 2 / (9 * (grade.shotsUsed - 3))) ** 3);
    freedom += grade.shotsUsed - 3;
  }
  return squares.length < 3 ? null : { factor: Math.sqrt(median(squares)), freedom };
}
