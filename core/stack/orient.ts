import type { Gradient } from '../surface/types.ts';

/** One way to turn the tapered rings: azimuths of their thick sides, and the gradient error that is left. */
export interface Turn {
  first: number;
  second: number;
  /** |sum of taper gradients - wanted gradient|, dimensionless, first order. */
  miss: number;
}

const full = 2 * Math.PI;

/** `positions` equally spaced marks counted from azimuth `from`; 0 = any angle. `slack` of miss counts as alike. */
export interface MarkRule {
  positions: number;
  from: number;
  slack: number;
}

/** Turns of one tapered ring of slope `t` whose miss is within the slack of the least, best first. */
export function turnOne(want: Gradient, t: number, { positions, from, slack }: MarkRule): Turn[] {
  const [a, b] = want;
  const toward = a === 0 && b === 0 ? from : Math.atan2(a, b);
  if (positions === 0) return [{ first: toward, second: 0, miss: Math.abs(Math.hypot(a, b) - t) }];
  const step = full / positions;
  const place = (toward - from) / step;
  const near = Math.round(place);
  const turns: Turn[] = [];
  for (const mark of place >= near ? [near, near + 1] : [near, near - 1]) {
    const azimuth = from + mark * step;
    const miss = Math.hypot(a - t * Math.sin(azimuth), b - t * Math.cos(azimuth));
    if (turns.length === 0 || miss <= turns[0].miss + slack) turns.push({ first: azimuth, second: 0, miss });
  }
  return turns;
}

/**
 * Turns of two tapered rings of slopes `t1` and `t2` whose miss is within the slack of the least. Without marks this is the triangle with sides t1, t2 and |want| (law of cosines); with
 * marks, each place of the first ring is paired with the best place of the second for what remains.
 */
export function turnTwo(want: Gradient, t1: number, t2: number, marks: MarkRule): Turn[] {
  if (marks.positions === 0) return turnTwoFree(want, t1, t2, marks.from);
  const { positions, from, slack } = marks;
  const [a, b] = want;
  const step = full / positions;
  const { sin, cos } = markTable(positions, from);
  if (tried.miss.length < positions) tried = roomFor(positions);
  const { one, two, miss: misses } = tried;
  let found = 0;
  let least = Infinity;
  for (let i = 0; i < positions; i++) {
    const ra = a - t1 * sin[i];
    const rb = b - t1 * cos[i];
    // The length left over is what decides: a second ring can take away at most t2 of it, or miss by t2 - it.
    const left = Math.sqrt(ra * ra + rb * rb);
    if (Math.abs(left - t2) > least + slack) continue;
    const place = (Math.atan2(ra, rb) - from) / step;
    const near = Math.round(place);
    const j = ((near % positions) + positions) % positions;
    const da = ra - t2 * sin[j];
    const db = rb - t2 * cos[j];
    const miss = Math.sqrt(da * da + db * db);
    if (miss > least + slack) continue;
    one[found] = i;
    two[found] = j;
    misses[found++] = miss;
    if (miss < least) least = miss;
  }
  const best: Turn[] = [];
  for (let k = 0; k < found; k++) {
    const miss = misses[k];
    if (miss <= least + slack) best.push({ first: from + one[k] * step, second: from + two[k] * step, miss });
  }
  return best;
}

/** Pairs of marks that came near enough so far: work area, written over from one call to the next. */
const roomFor = (positions: number) => ({
  one: new Uint32Array(positions),
  two: new Uint32Array(positions),
  miss: new Float64Array(positions),
});
let tried = roomFor(64);

function turnTwoFree([a, b]: Gradient, t1: number, t2: number, from: number): Turn[] {
  const s = Math.hypot(a, b);
  const toward = s === 0 ? from : Math.atan2(a, b);
  if (s >= t1 + t2) return [{ first: toward, second: toward, miss: s - t1 - t2 }];
  const difference = Math.abs(t1 - t2);
  if (s <= difference) {
    const turn = t1 > t2 ? [toward, toward + Math.PI] : [toward + Math.PI, toward];
    return [{ first: turn[0], second: turn[1], miss: difference - s }];
  }
  const one = Math.acos(clamp((s * s + t1 * t1 - t2 * t2) / (2 * s * t1)));
  const two = Math.acos(clamp((s * s + t2 * t2 - t1 * t1) / (2 * s * t2)));
  return [
    { first: toward + one, second: toward - two, miss: 0 },
    { first: toward - one, second: toward + two, miss: 0 },
  ];
}

const clamp = (x: number) => Math.max(-1, Math.min(1, x));

interface Marks {
  positions: number;
  from: number;
  sin: Float64Array;
  cos: Float64Array;
}
const noMarks: Marks = { positions: 0, from: 0, sin: new Float64Array(0), cos: new Float64Array(0) };
let lastMarks = noMarks;
/** Of the last number of marks counted from azimuth 0. */
let lastPlain = noMarks;

/**
 * Sines and cosines of the marks, good until the next call; covers of one street share a bearing, so the last table is kept.
 */
function markTable(positions: number, from: number): Marks {
  if (lastMarks.positions === positions && lastMarks.from === from) return lastMarks;
  const plain = plainMarks(positions);
  if (lastMarks.positions !== positions)
    lastMarks = {
      positions,
      from,
      sin: new Float64Array(positions),
      cos: new Float64Array(positions),
    };
  const { sin, cos } = lastMarks;
  const [sinFrom, cosFrom] = [Math.sin(from), Math.cos(from)];
  for (let i = 0; i < positions; i++) {
    sin[i] = sinFrom * plain.cos[i] + cosFrom * plain.sin[i];
    cos[i] = cosFrom * plain.cos[i] - sinFrom * plain.sin[i];
  }
  lastMarks.from = from;
  return lastMarks;
}

function plainMarks(positions: number): Marks {
  if (lastPlain.positions !== positions) {
    const azimuths = Float64Array.from({ length: positions }, (_, i) => (full * i) / positions);
    lastPlain = { positions, from: 0, sin: azimuths.map(Math.sin), cos: azimuths.map(Math.cos) };
  }
  return lastPlain;
}
