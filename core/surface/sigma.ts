import type { Policy } from '../plan/policy.ts';
import { type Spare, sparesOf } from './decidePlane.ts';
import { gatherShots, nearbyPieces, type Place } from './nearShots.ts';
import { leastTrimmedSquares, median } from './robust.ts';
import { pooledScale, upperFactor } from './scale.ts';
import { shotRoles, shotsWhere } from './shotColumns.ts';
import { assumedShotSigma, type Survey } from './survey.ts';

/** Neighbourhoods looked at: enough for a sigma good to a few percent, few enough to cost nothing. */
const sample = 120;
/** With fewer covers than this the shots' own neighbourhoods are looked at besides. */
export const enoughCovers = 60;
/** Shots of one neighbourhood: as many as show its spread, or it is made wider where there are fewer. */
const wanted = 8;
const most = 11;
/** A trimmed plane of fewer shots shows nothing. */
const fewest = 6;
/** A sigma from fewer spare observations than this is not believed to be better than the assumed one. */
const fewestSpare = 8;
/**
 * With so many the sigma found is good to a tenth and taken as it is, and shots left out are not asked: those of a curb or
 * gutter would speak of themselves.
 */
const plenty = 60;
/** No survey is believed to be better than this: elevations are written to the millimetre or hundredth of a foot. */
const leastSigma = 1e-4;
/** Begun too small, a sigma would throw out the very shots that show it to be larger. */
const startFactor = 1.5;
const mostRounds = 8;

/**
 * Estimate the standard deviation of one shot over the whole survey and set it for every shot that recorded none.
 * First from trimmed planes through the nearest shots of many places, which blunders and bends cannot pull; then
 * refined from the residuals of the planes that would be planned from there, pooled. One cover's few residuals never
 * decide. Where they are few, the upper end of what they show is set. A survey with too little redundancy keeps the assumed sigma
 * unless it shows a larger one, and says so in `sigmaFrom`.
 */
export function estimateSigma(survey: Survey, places: readonly Place[], policy: Policy): Survey {
  if (survey.sigmaFrom !== 'assumed' || survey.shots.count < fewest) return survey;
  const sites = sitesOf(survey, places, policy);
  const first = sites.flatMap((site) => trimmedDeviation(survey, site) ?? []);
  if (first.length === 0) return survey;
  let sigma = Math.max(leastSigma, startFactor * median(first));
  let freedom = 0;
  for (let round = 0; round < mostRounds; round++) {
    const found = refine(withSigma(survey, sigma, policy), sites, policy);
    if (!found) return survey;
    freedom = found.freedom;
    sigma = Math.max(leastSigma, sigma * found.factor);
    if (Math.abs(found.factor - 1) < 0.02) break;
  }
  const upper = freedom >= plenty ? sigma : sigma * upperFactor(freedom);
  if (freedom < fewestSpare && upper <= assumedShotSigma) return survey;
  return withSigma(survey, upper, policy);
}

/** No shot farther from a place than this is looked at there, metres, but those that lines are joined from. */
export const sigmaReach = ({ reachLimit }: Policy): number => 2 * reachLimit;

/** A place whose shots are looked at, and which they are, nearest first. */
interface Site {
  place: Place;
  index: number[];
}

function sitesOf(survey: Survey, places: readonly Place[], policy: Policy): Site[] {
  const chosen = spread(places, sample);
  if (chosen.length < enoughCovers) {
    const onSurface = shotsWhere(survey.shots, (i) => shotRoles[survey.shots.role[i]] === 'surface');
    for (const i of spread([...onSurface], enoughCovers))
      chosen.push({ east: survey.east[i], north: survey.north[i], rimRadius: 0, roadBearing: null });
  }
  return chosen.flatMap((place) => {
    const index = neighbours(survey, place, policy);
    // What is asked is how the shots scatter, not whether they surround anything.
    return index.length < fewest ? [] : [{ place: { ...place, rimRadius: Infinity }, index }];
  });
}

/** The nearest shots on a place's own side: from farther away than a plan would take them where few are near. */
function neighbours(survey: Survey, place: Place, policy: Policy): number[] {
  const pieces = nearbyPieces(survey, place);
  let index: number[] = [];
  for (let reach = policy.shotLimit; index.length < wanted && reach <= sigmaReach(policy); reach *= 1.25)
    index = gatherShots(survey, place, pieces, reach).index;
  return index.slice(0, most);
}

/** Evenly spaced members of a list, at most `most`. */
function spread<T>(list: readonly T[], most: number): T[] {
  if (list.length <= most) return [...list];
  return Array.from({ length: most }, (_, i) => list[Math.floor((i * list.length) / most)]);
}

const bringsNone = (survey: Survey, shot: number, { shotSigma }: Policy): boolean =>
  shotSigma !== null || Number.isNaN(survey.shots.recorded[shot]);

function withSigma(survey: Survey, shotSigma: number, policy: Policy): Survey {
  const { count, recorded } = survey.shots;
  const sigma = new Float64Array(count);
  for (let i = 0; i < count; i++) sigma[i] = bringsNone(survey, i, policy) ? shotSigma : recorded[i];
  return { ...survey, shotSigma, sigmaFrom: 'estimated', sigma };
}

/** Deviation of the nearest shots from their trimmed plane; null where they make none. */
function trimmedDeviation(survey: Survey, { place, index: all }: Site): number | null {
  const index = all.slice(0, 9);
  const n = index.length;
  const rows = index.map((i) => [1, survey.east[i] - place.east, survey.north[i] - place.north]);
  const values = index.map((i) => survey.elevation[i] - survey.elevation[index[0]]);
  const trimmed = leastTrimmedSquares(rows, values, Math.max(5, Math.ceil(0.7 * n)));
  if (!trimmed) return null;
  const [c, a, b] = trimmed.coefficients;
  const residuals = rows.map((row, i) => Math.abs(values[i] - c - a * row[1] - b * row[2]));
  // Median absolute residual to sigma (1.4826 for a normal law), enlarged for the three unknowns.
  return 1.4826 * median(residuals) * Math.sqrt(n / (n - 3));
}

/** Farther off than this many deviations a shot is wrong whatever sigma is, and says nothing of it. */
const gross = 10;

/**
 * How much larger the residuals are than the sigmas say, and how many independent ones there are: neighbourhoods that
 * share shots do not count them twice. Where there are few, those left out count besides: a sigma too small is then not
 * held up by throwing out what speaks against it. Null where no plane has a residual to spare.
 */
function refine(
  survey: Survey,
  sites: readonly Site[],
  policy: Policy,
): { factor: number; freedom: number } | null {
  const spares = sites
    .flatMap(({ place, index }): Spare[] =>
      sparesOf({ survey, place, index, line: null, nearest: 0, sameplace: policy.sameplace }),
    )
    .filter(({ shot, redundancy }) => redundancy > 0.02 && bringsNone(survey, shot, policy));
  const used = spares.filter(({ isUsed }) => isUsed);
  if (used.length === 0) return null;
  const total = used.reduce((sum, { redundancy }) => sum + redundancy, 0);
  const shots = new Set(used.map(({ shot }) => shot)).size;
  const freedom = (shots * total) / used.length;
  const asked =
    freedom >= plenty ? used : spares.filter(({ isUsed, studentized: t }) => isUsed || Math.abs(t) < gross);
  const scale = pooledScale(
    asked.map(({ studentized }) => Math.abs(studentized)),
    asked.map(({ redundancy }) => redundancy),
  );
  return { factor: scale, freedom };
}
