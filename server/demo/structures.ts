import type { RegisterRow } from '#core/register/types.ts';
import { metresPer } from '#core/units/length.ts';
import { slopeOf } from '#core/units/slope.ts';
import { bearingAt, placeOf, type StationOffset } from './alignment.ts';
import { type Deed, drawDeeds, tracesOf } from './deeds.ts';
import { kinds, type PlannedPlace } from './kinds.ts';
import { overlay } from './limits.ts';
import type { Random } from './random.ts';
import { gradientAt, isOnOtherPavement, surfaceAt } from './roadSurface.ts';
import { toHundredthDegrees, toWholeFeet } from './rounding.ts';
import type { Street } from './streets.ts';

const inch = metresPer.in;

/** Two frames of 34 in need this much between their centres. */
const leastSpacing = 1.6;

/** A cover of the town with what the generator knows of it and the register does not. */
export interface TownStructure {
  row: RegisterRow;
  street: Street;
  place: StationOffset;
  deed: Deed;
  /** Whether the overlay's limits take it in. */
  inOverlay: boolean;
}

/** Every structure of the town, street by street in station order. */
export function makeStructures(streets: readonly Street[], random: Random): TownStructure[] {
  const places = streets.flatMap((street) => placesAlong(street, random));
  const deeds = drawDeeds(
    places.filter(({ inOverlay }) => inOverlay),
    random,
  );
  const counts = new Map<string, number>();
  return places.map((planned, index) => {
    const count = (counts.get(planned.kind.prefix) ?? 0) + 1;
    counts.set(planned.kind.prefix, count);
    const id = `${planned.kind.prefix}-${String(count).padStart(4, '0')}`;
    return build({ ...planned, id, index, deed: deeds.get(planned) ?? 'ordinary' }, random);
  });
}

function placesAlong(street: Street, random: Random): PlannedPlace[] {
  const limits = overlay.find((part) => part.street === street.id);
  const found: PlannedPlace[] = [];
  for (const kind of kinds) {
    let station = random.between(6, kind.spacing);
    while (station < street.line.length - 6) {
      const place = { station, offset: kind.offset(street.width / 2, random) };
      const inOverlay = limits !== undefined && station > limits.from + 4 && station < limits.to - 4;
      const taken = found.some((other) => distance(other.place, place) < leastSpacing);
      if (!taken && !isOnOtherPavement(street, place)) found.push({ street, place, kind, inOverlay });
      station += kind.spacing * random.between(0.75, 1.25);
    }
  }
  return found.sort((a, b) => a.place.station - b.place.station);
}

function distance(one: StationOffset, other: StationOffset): number {
  return Math.hypot(one.station - other.station, one.offset - other.offset);
}

function build(
  planned: PlannedPlace & { id: string; index: number; deed: Deed },
  random: Random,
): TownStructure {
  const { street, kind, deed, id, index, inOverlay } = planned;
  const traces = tracesOf(deed, random);
  const place = { ...planned.place, offset: traces.offset ?? planned.place.offset };
  const [east, north] = placeOf(street.line, place).map((metres) => toWholeFeet(metres));
  const finished = surfaceAt(street, place);
  const frameHeight = random.pick(kind.frameHeights) * inch;
  const axis = frameHeight * Math.hypot(1, slopeOf(gradientAt(street, place)));
  const row: RegisterRow = {
    row: index + 2,
    id,
    kind: kind.kind,
    owner: kind.owner,
    street: street.name,
    east,
    north,
    lonLat: null,
    rimElevation: toWholeFeet(finished + traces.rimError),
    seatElevation: toWholeFeet(finished - axis - traces.buildup, 4),
    frameHeight,
    rimDiameter: kind.rimDiameter * inch,
    roadBearing: toHundredthDegrees(bearingAt(street.line, place.station)),
    setDown: 0,
    adjustment: kind.adjustment,
    seatGradient: [0, 0],
    structureDepth: toWholeFeet(random.between(1.2, 4.5), 1),
    structureDiameter: (kind.adjustment === 'telescoping' ? 6 : random.pick([48, 48, 60, 72])) * inch,
    condition: {
      located: traces.located,
      chimneyUnsound: traces.chimneyUnsound,
      frameUnsound: traces.frameUnsound,
    },
  };
  return { row, street, place, deed, inOverlay };
}
