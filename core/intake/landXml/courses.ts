import { arcPoints, centreOf, clothoidPoints, type Place } from '../arcs.ts';
import type { Faults } from '../faults.ts';
import type { LineStore } from '../lineStore.ts';
import { readNumber } from '../numbers.ts';
import type { RawPosition } from '../types.ts';
import type { Course, StatedLine } from './alignment.ts';
import type { CgPoints } from './points.ts';

interface Tools {
  points: CgPoints;
  faults: Faults;
  lines: LineStore;
  /** Chords stay this near to a curve, in the file's unit. */
  tolerance: number;
}

/**
 * A stated line as polylines. Its courses follow on one another; where one begins elsewhere than the last ended a new
 * polyline begins, and that is said.
 */
export function traceLine(line: StatedLine, tools: Tools): void {
  const { lines, faults, tolerance } = tools;
  let positions: RawPosition[] = [];
  const finish = () => {
    if (positions.length >= 2) lines.add({ name: line.name, role: line.role, row: line.row, positions });
    positions = [];
  };
  for (const course of line.courses) {
    const traced = traceCourse(course, line, tools);
    if (traced === null || traced.length < 2) continue;
    const last = positions.at(-1);
    const gap = last ? Math.hypot(traced[0][0] - last[0], traced[0][1] - last[1]) : 0;
    if (gap > tolerance) {
      const message = `${line.role} "${line.name}": a ${course.kind} begins ${gap.toPrecision(3)} away from where the last piece ends`;
      faults.say({ code: 'gap', row: course.row, message });
      finish();
    }
    for (const position of positions.length === 0 ? traced : traced.slice(1)) positions.push(position);
  }
  finish();
  if (line.courses.length === 0)
    faults.say({
      code: 'noGeometry',
      row: line.row,
      message: `${line.role} "${line.name}" has no horizontal geometry`,
    });
}

function traceCourse(course: Course, line: StatedLine, tools: Tools): RawPosition[] | null {
  const at = (name: keyof Course['places']): RawPosition | null => {
    const statement = course.places[name];
    const place = statement && tools.points.placeOf(statement);
    return place ? [place.east, place.north, place.elevation] : null;
  };
  const say = (message: string) =>
    tools.faults.say({
      code: 'course',
      row: course.row,
      message: `${line.role} "${line.name}": ${message}`,
    });
  if (course.kind === 'Chain') return traceChain(course, tools.points, say);
  const start = at('Start');
  const end = at('End');
  if (!start || !end) {
    say(`a ${course.kind} lacks its start or its end; left out`);
    return null;
  }
  if (course.kind === 'Line') return [start, end];
  if (course.kind === 'IrregularLine')
    return [start, ...withoutEnds(course.between as RawPosition[], start, end), end];
  const trace = course.kind === 'Curve' ? traceCurve : traceSpiral;
  const ends = { start, end, centre: at('Center'), corner: at('PI') };
  return trace(course, ends, { say, tolerance: tools.tolerance });
}

interface Ends {
  start: RawPosition;
  end: RawPosition;
  centre: RawPosition | null;
  /** Where the tangents meet. */
  corner: RawPosition | null;
}

interface Cares {
  say: (message: string) => void;
  tolerance: number;
}

function traceChain(course: Course, points: CgPoints, say: (message: string) => void): RawPosition[] {
  const positions: RawPosition[] = [];
  for (const statement of course.between) {
    const place = 'pointName' in statement ? points.placeOf(statement) : null;
    if (place) positions.push([place.east, place.north, place.elevation]);
    else say('a chain names a point that is not there; it is left out');
  }
  return positions;
}

function withoutEnds(between: readonly RawPosition[], start: RawPosition, end: RawPosition) {
  const same = (a: RawPosition, b: RawPosition) => a[0] === b[0] && a[1] === b[1];
  return between.filter(
    (p, i) => !(i === 0 && same(p, start)) && !(i === between.length - 1 && same(p, end)),
  );
}

function traceCurve({ attributes }: Course, ends: Ends, { say, tolerance }: Cares): RawPosition[] {
  const start = flat(ends.start);
  const end = flat(ends.end);
  const rotation = attributes.rot;
  const radius = readNumber(attributes.radius ?? '');
  const chord = Math.hypot(end[0] - start[0], end[1] - start[1]);
  if ((rotation !== 'cw' && rotation !== 'ccw') || (!ends.centre && !(radius !== null && radius > 0))) {
    say('a curve lacks its turn, or both its centre and its radius; only its ends are kept');
    return [ends.start, ends.end];
  }
  const counterClockwise = rotation === 'ccw';
  let centre: Place;
  if (ends.centre) centre = flat(ends.centre);
  else {
    const length = readNumber(attributes.length ?? '') ?? 0;
    const major = length > Math.PI * (radius as number);
    if (chord === 0 || chord > 2 * (radius as number) + tolerance) {
      say('a curve of this radius does not reach from its start to its end; only its ends are kept');
      return [ends.start, ends.end];
    }
    centre = centreOf(start, end, { radius: radius as number, counterClockwise, major });
  }
  const first = Math.hypot(start[0] - centre[0], start[1] - centre[1]);
  const last = Math.hypot(end[0] - centre[0], end[1] - centre[1]);
  const off = Math.max(Math.abs(first - last), radius === null ? 0 : Math.abs(first - radius));
  if (off > tolerance)
    say(
      `a curve's ends and radius disagree about its centre by ${off.toPrecision(3)}; its ends are kept exactly`,
    );
  return rising(ends, arcPoints({ start, end, centre, counterClockwise }, tolerance));
}

/** Curvature that `radiusStart` or `radiusEnd` states: `INF` is straight. Null where it states none. */
function curvatureOf(radius: string | undefined): number | null {
  if (radius === undefined) return null;
  if (/^[+]?inf/i.test(radius.trim())) return 0;
  const value = readNumber(radius.trim());
  return value === null || value <= 0 ? null : 1 / value;
}

function traceSpiral({ attributes }: Course, ends: Ends, { say, tolerance }: Cares): RawPosition[] {
  const from = curvatureOf(attributes.radiusStart);
  const to = curvatureOf(attributes.radiusEnd);
  const length = readNumber(attributes.length ?? '');
  const turn = attributes.rot === 'ccw' ? 1 : attributes.rot === 'cw' ? -1 : 0;
  const isClothoid = (attributes.spiType ?? 'clothoid') === 'clothoid';
  const stated = from !== null && to !== null && length !== null && length > 0 && turn !== 0;
  if (isClothoid && stated && from + to > 0) {
    const spiral = {
      start: flat(ends.start),
      end: flat(ends.end),
      curvature: [turn * from, turn * to] as const,
      length,
    };
    const points = clothoidPoints(spiral, tolerance);
    if (points && !bulgesAway(ends, turn)) return rising(ends, points);
  }
  const why = isClothoid
    ? 'its length, radii, turn and ends do not fit together'
    : `its kind "${attributes.spiType}" is not drawn`;
  say(`a spiral is kept as the straight line between its ends: ${why}`);
  return [ends.start, ends.end];
}

/** A curve that turns left lies right of its chord, as does the corner of its tangents. */
function bulgesAway({ start, end, corner }: Ends, turn: number): boolean {
  if (!corner) return false;
  const cross = (end[0] - start[0]) * (corner[1] - start[1]) - (end[1] - start[1]) * (corner[0] - start[0]);
  return cross * turn > 0;
}

const flat = ([x, y]: RawPosition): Place => [x, y];

/** Points after a start as positions with it, elevations rising evenly where both ends have one. */
function rising({ start, end }: Ends, points: readonly Place[]): RawPosition[] {
  const [from, to] = [start[2], end[2]];
  const level = (i: number) =>
    from === null || to === null ? null : from + ((to - from) * (i + 1)) / points.length;
  return [start, ...points.slice(0, -1).map(([x, y], i): RawPosition => [x, y, level(i)]), end];
}
