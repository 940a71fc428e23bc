/** A piece of a centre line: straight where the curvature is 0, else an arc; + turns right. Metres, radians. */
interface Element {
  station: number;
  length: number;
  east: number;
  north: number;
  bearing: number;
  /** 1 / radius. */
  curvature: number;
}

/** A street's centre line, walked up-station. */
export interface Alignment {
  length: number;
  elements: readonly Element[];
}

/** A place on a street: distance along the centre line, and right of it (left is negative). */
export interface StationOffset {
  station: number;
  offset: number;
}

export interface Leg {
  length: number;
  /** Radius of the arc, + to the right, - to the left; 0 is straight. */
  radius: number;
}

/** A centre line from its start, its first bearing and the legs that follow tangent to one another. */
export function makeAlignment(east: number, north: number, bearing: number, legs: readonly Leg[]): Alignment {
  const elements: Element[] = [];
  let at = { station: 0, east, north, bearing };
  for (const { length, radius } of legs) {
    const element = { ...at, length, curvature: radius === 0 ? 0 : 1 / radius };
    elements.push(element);
    const [endEast, endNorth] = along(element, length);
    at = {
      station: element.station + length,
      east: endEast,
      north: endNorth,
      bearing: element.bearing + length * element.curvature,
    };
  }
  return { length: at.station, elements };
}

/** Grid place of a station and offset. */
export function placeOf(line: Alignment, { station, offset }: StationOffset): [east: number, north: number] {
  const element = elementAt(line, station);
  const run = station - element.station;
  const [east, north] = along(element, run);
  const bearing = element.bearing + run * element.curvature;
  return [east + offset * Math.cos(bearing), north - offset * Math.sin(bearing)];
}

/** Azimuth up-station at a station. */
export function bearingAt(line: Alignment, station: number): number {
  const element = elementAt(line, station);
  return element.bearing + (station - element.station) * element.curvature;
}

/** Station and offset of a grid place, by the nearest point of the centre line; its ends run on straight or curved. */
export function stationOf(line: Alignment, east: number, north: number): StationOffset {
  let best: StationOffset & { distance: number } = {
    station: 0,
    offset: 0,
    distance: Number.POSITIVE_INFINITY,
  };
  for (const element of line.elements) {
    const found = nearestOn(element, east, north);
    const first = element === line.elements[0];
    const last = element === line.elements.at(-1);
    const least = first ? Number.NEGATIVE_INFINITY : 0;
    const most = last ? Number.POSITIVE_INFINITY : element.length;
    if (found.run < least - 1e-6 || found.run > most + 1e-6) continue;
    const distance = Math.abs(found.offset);
    if (distance < best.distance)
      best = { station: element.station + found.run, offset: found.offset, distance };
  }
  return { station: best.station, offset: best.offset };
}

function elementAt(line: Alignment, station: number): Element {
  return line.elements.findLast((element) => element.station <= station) ?? line.elements[0];
}

function along({ east, north, bearing, curvature }: Element, run: number): [number, number] {
  if (curvature === 0) return [east + run * Math.sin(bearing), north + run * Math.cos(bearing)];
  const turned = bearing + run * curvature;
  return [
    east + (Math.cos(bearing) - Math.cos(turned)) / curvature,
    north + (Math.sin(turned) - Math.sin(bearing)) / curvature,
  ];
}

function nearestOn(element: Element, east: number, north: number): { run: number; offset: number } {
  const { bearing, curvature } = element;
  const [dEast, dNorth] = [east - element.east, north - element.north];
  const ahead = dEast * Math.sin(bearing) + dNorth * Math.cos(bearing);
  const right = dEast * Math.cos(bearing) - dNorth * Math.sin(bearing);
  if (curvature === 0) return { run: ahead, offset: right };
  const radius = 1 / curvature;
  const toCentre = radius - right;
  const turned = Math.atan2(ahead, toCentre * Math.sign(radius));
  return {
    run: turned / Math.abs(curvature),
    offset: radius - Math.sign(radius) * Math.hypot(ahead, toCentre),
  };
}
