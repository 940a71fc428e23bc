import { defaultPolicy, type Policy } from '#core/plan/policy.ts';
import type { Cover } from '#core/plan/types.ts';
import { finishedFromShots, isGrade } from '#core/surface/finished.ts';
import type { Place } from '#core/surface/nearShots.ts';
import { estimateSigma } from '#core/surface/sigma.ts';
import { layOutSurvey } from '#core/surface/survey.ts';
import type { FinishedGrade, NoGrade, Shot, ShotRole } from '#core/surface/types.ts';
import { seeded } from './corridor.ts';

/** A shot of an invented site, named by its place in the list where no name is given. */
export function shot(east: number, north: number, elevation: number, more: Partial<Shot> = {}): Shot {
  return { point: '', east, north, elevation, code: '', role: 'surface', sigma: null, ...more };
}

export const named = (shots: readonly Shot[]): Shot[] =>
  shots.map((s, i) => ({ ...s, point: s.point === '' ? `P${i + 1}` : s.point }));

/** Shots at even angles round a centre, on a surface given as a function. */
export function ringOfShots(
  surface: (east: number, north: number) => number,
  { count = 8, radius = 2, turn = 0.2, role = 'surface' as ShotRole, centre = [0, 0] } = {},
): Shot[] {
  return Array.from({ length: count }, (_, i) => {
    const angle = turn + (2 * Math.PI * i) / count;
    const east = centre[0] + radius * Math.sin(angle);
    const north = centre[1] + radius * Math.cos(angle);
    return shot(east, north, surface(east, north), { role });
  });
}

export const plane =
  (a: number, b: number, c = 100) =>
  (e: number, n: number) =>
    c + a * e + b * n;

/** Two planes that meet over the line east = `at`, falling away from it. */
export const crowned =
  (at: number, slope = 0.02, grade = 0.01) =>
  (e: number, n: number) =>
    100 - slope * Math.abs(e - at) + grade * n;

/** Normal deviates of a small seeded generator. */
export function noise(seed: number): () => number {
  const random = seeded(seed);
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

export function withNoise(shots: readonly Shot[], sigma: number, seed: number): Shot[] {
  const normal = noise(seed);
  return shots.map((s) => ({ ...s, elevation: s.elevation + sigma * normal() }));
}

export const placeAt = (east = 0, north = 0, more: Partial<Place> = {}): Place => ({
  east,
  north,
  rimRadius: 0.33,
  roadBearing: 0,
  ...more,
});

/** Finished grade at a place from shots alone, sigma given or estimated as the policy says. */
export function finish(
  shots: readonly Shot[],
  { place = placeAt(), policy = {} }: { place?: Place; policy?: Partial<Policy> } = {},
): FinishedGrade | NoGrade {
  const full = { ...defaultPolicy, shotSigma: 0.002, ...policy };
  const survey = estimateSigma(layOutSurvey(named(shots), 'site', full.shotSigma), [place], full);
  return finishedFromShots(survey, place, full);
}

/** The same where an answer is expected. @throws Error naming the reason where there is none. */
export function finishedAt(...parameters: Parameters<typeof finish>): FinishedGrade {
  const answer = finish(...parameters);
  if (!isGrade(answer)) throw new Error(`no finished grade: ${answer.reason}`);
  return answer;
}

/** An invented cover at the site's origin. */
export function coverAt(change: Partial<Cover> = {}): Cover {
  return {
    id: 'C-1',
    kind: 'sanitary',
    east: 0,
    north: 0,
    seatElevation: 99.7,
    seatGradient: [0, 0],
    rimElevation: 99.94,
    frameHeight: 0.18,
    rimRadius: 0.33,
    roadBearing: 0,
    setDown: 0,
    adjustment: 'rings',
    condition: { located: null, chimneyUnsound: null, frameUnsound: null },
    ...change,
  };
}
