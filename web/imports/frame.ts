/** Flat pictures of where readings of a file would land; for drawing and for saying how far off, never for measuring. */
export type LonLat = readonly [lon: number, lat: number];
/** Metres east and north of an origin. */
export type Flat = readonly [east: number, north: number];

const earthRadius = 6_371_008.8;
const radians = Math.PI / 180;

/** Flat coordinates near an origin. */
export function flatFrom([lon, lat]: LonLat): (at: LonLat) => Flat {
  const perDegree = earthRadius * radians;
  const cosine = Math.cos(lat * radians);
  return ([x, y]) => [(x - lon) * perDegree * cosine, (y - lat) * perDegree];
}

/** Great-circle distance in metres and the direction one leaves in, degrees clockwise from north. */
export function farFrom(from: LonLat, to: LonLat): { distance: number; azimuth: number } {
  const [a, b] = [from[1] * radians, to[1] * radians];
  const turn = (to[0] - from[0]) * radians;
  const half = Math.sin((b - a) / 2) ** 2 + Math.cos(a) * Math.cos(b) * Math.sin(turn / 2) ** 2;
  const distance = 2 * earthRadius * Math.asin(Math.min(1, Math.sqrt(half)));
  const y = Math.sin(turn) * Math.cos(b);
  const x = Math.cos(a) * Math.sin(b) - Math.sin(a) * Math.cos(b) * Math.cos(turn);
  return { distance, azimuth: (Math.atan2(y, x) / radians + 360) % 360 };
}

const winds = ['north', 'northeast', 'east', 'southeast', 'south', 'southwest', 'west', 'northwest'];

export const windOf = (azimuth: number): string => winds[Math.round(azimuth / 45) % 8];

export const median = (values: readonly number[]): number =>
  values.length === 0 ? Number.NaN : [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

/** Middle of places that a few stray ones do not move; null where there are none. */
export function middleOf(places: readonly LonLat[]): LonLat | null {
  if (places.length === 0) return null;
  return [median(places.map(([lon]) => lon)), median(places.map(([, lat]) => lat))];
}

/** What all pictures of one question show, so that they are at one scale. */
export interface Frame {
  origin: LonLat;
  centre: Flat;
  /** Metres across. */
  width: number;
  /** Near enough that a foot or two can be seen. */
  isClose: boolean;
}

interface Known {
  /** West, south, east, north of the project's covers. */
  limits: readonly number[] | null;
  castings: readonly LonLat[];
}

/** Readings nearer to each other than this part of the project are told apart at one casting only. */
const closePart = 1 / 25;
const leastWidth = 12;

export function frameOf(choices: readonly (readonly LonLat[])[], { limits, castings }: Known): Frame | null {
  const middles = choices.map(middleOf).filter((middle) => middle !== null);
  const origin: LonLat | null = limits
    ? [(limits[0] + limits[2]) / 2, (limits[1] + limits[3]) / 2]
    : (middles[0] ?? null);
  if (!origin) return null;
  const flat = flatFrom(origin);
  const [least, most] = limits
    ? [flat([limits[0], limits[1]]), flat([limits[2], limits[3]])]
    : boxOf(choices[0].map(flat));
  const across = Math.max(most[0] - least[0], most[1] - least[1], 60);
  const centre: Flat = [(least[0] + most[0]) / 2, (least[1] + most[1]) / 2];
  const near = choices.filter((places) => isNear(places.map(flat), centre, across));
  const shift = shiftOf(near, flat);
  if (shift === 0 || shift > across * closePart)
    return { origin, centre, width: across * 1.25, isClose: false };
  const width = Math.max(leastWidth, shift * 9);
  return { origin, centre: closeUpAt(near, castings, flat) ?? centre, width, isClose: true };
}

/** Whether a reading lands on the project or beside it; one on another continent says nothing of a foot. */
const isNear = (places: readonly Flat[], [east, north]: Flat, across: number): boolean =>
  places.some(([x, y]) => Math.hypot(x - east, y - north) < across);

/** How far the same position moves from one reading to another, at most: positions stand in one order in all. */
function shiftOf(choices: readonly (readonly LonLat[])[], flat: (at: LonLat) => Flat): number {
  const firsts = choices.flatMap((places) => (places[0] ? [flat(places[0])] : []));
  return Math.max(0, ...firsts.flatMap(([x, y]) => firsts.map(([u, v]) => Math.hypot(x - u, y - v))));
}

function boxOf(places: readonly Flat[]): [Flat, Flat] {
  const [xs, ys] = [places.map(([x]) => x), places.map(([, y]) => y)];
  return [
    [Math.min(...xs), Math.min(...ys)],
    [Math.max(...xs), Math.max(...ys)],
  ];
}

/** The casting that some reading comes nearest to; where none is known, a position in the middle. */
function closeUpAt(
  choices: readonly (readonly LonLat[])[],
  castings: readonly LonLat[],
  flat: (at: LonLat) => Flat,
): Flat | null {
  const places = choices.flat().map(flat);
  let best: Flat | null = null;
  let least = 200;
  for (const casting of castings.map(flat)) {
    for (const [x, y] of places) {
      const distance = Math.hypot(casting[0] - x, casting[1] - y);
      if (distance >= least) continue;
      least = distance;
      best = casting;
    }
  }
  return best ?? places[Math.floor(places.length / 2)] ?? null;
}

/** Farther from its casting than this, metres, a position is not taken for the shot of its rim. */
const onRim = 0.2;
/** Fewer positions on castings than these, or fewer than twice those of the next reading, may lie there by chance. */
const leastRims = 3;

/**
 * How far each reading lays the rims from their castings, metres, the median; null where that cannot be said. Rims are
 * the positions that lie on castings in the reading where most do, if no other comes near it; the same ones are then
 * measured in every reading, in which positions stand in one order. Shots of pavement lie beside castings by chance.
 */
export function castingGaps(
  readings: readonly (readonly LonLat[])[],
  castings: readonly LonLat[],
  origin: LonLat,
): (number | null)[] {
  const flat = flatFrom(origin);
  const known = castings.map(flat);
  const length = Math.max(0, ...readings.map((places) => places.length));
  const whole = readings.filter((places) => places.length === length);
  const [best, next] = whole
    .map((places) => rimsAmong(places.map(flat), known))
    .sort((a, b) => b.length - a.length);
  const isClear = best && best.length >= Math.max(leastRims, 2 * (next?.length ?? 0));
  return readings.map((places) => {
    if (!isClear || places.length !== length) return null;
    return median(best.map(({ at, casting }) => distanceTo(flat(places[at]), casting)));
  });
}

interface Rim {
  /** Place in the list of positions. */
  at: number;
  casting: Flat;
}

const distanceTo = ([x, y]: Flat, [u, v]: Flat): number => Math.hypot(x - u, y - v);

function rimsAmong(points: readonly Flat[], castings: readonly Flat[]): Rim[] {
  return points.flatMap((point, at) => {
    let rim: Rim | null = null;
    let least = onRim;
    for (const casting of castings) {
      const distance = distanceTo(point, casting);
      if (distance >= least) continue;
      least = distance;
      rim = { at, casting };
    }
    return rim ? [rim] : [];
  });
}
