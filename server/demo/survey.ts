import type { Shot } from '#core/surface/types.ts';
import { readCode } from '#core/survey/codes.ts';
import { placeOf, type StationOffset, stationOf } from './alignment.ts';
import { type OverlayStreet, overlay, surveyAt } from './limits.ts';
import type { Random } from './random.ts';
import { gradientAt, isOnOtherPavement, surfaceAt } from './roadSurface.ts';
import { toWholeFeet } from './rounding.ts';
import type { Street } from './streets.ts';
import type { TownStructure } from './structures.ts';

/** Standard deviation of one shot, metres. */
const sigmas = { levelled: 0.002, rtk: 0.02 } as const;

/** Share of the shots on the surface that are off by 0.1 to 0.3 m: a rod height, a wrong point. */
const bustShare = 0.012;

/** The overlay's survey: sections across the streets, shots round the covers and on their rims. */
export function makeShots(
  streets: readonly Street[],
  structures: readonly TownStructure[],
  random: Random,
): Shot[] {
  const book = new FieldBook(random);
  for (const part of overlay) {
    const street = streets.find(({ id }) => id === part.street)!;
    shootSections(book, street, part);
    for (const structure of structures) {
      if (structure.inOverlay && structure.street === street) shootCover(book, structure, part);
    }
  }
  return book.shots;
}

class FieldBook {
  readonly shots: Shot[] = [];
  readonly random: Random;

  constructor(random: Random) {
    this.random = random;
  }

  /** A shot on the pavement; some are busts. */
  surface(street: Street, place: StationOffset, code: string, method: 'levelled' | 'rtk'): void {
    const bust = this.random.chance(bustShare)
      ? this.random.pick([-1, 1]) * this.random.between(0.1, 0.3)
      : 0;
    const noise = this.random.normal(sigmas[method]);
    this.record(placeOf(street.line, place), surfaceAt(street, place) + noise + bust, { code, method });
  }

  record(
    [east, north]: readonly [number, number],
    elevation: number,
    { code, method }: { code: string; method: 'levelled' | 'rtk' },
  ): void {
    this.shots.push({
      point: String(1001 + this.shots.length),
      east: toWholeFeet(east),
      north: toWholeFeet(north),
      elevation: toWholeFeet(elevation),
      code,
      role: readCode(code).role,
      sigma: sigmas[method],
    });
  }
}

/** Five shots across the street every 10 m (every 20 m by RTK), but none on the pavement of the street it yields to. */
function shootSections(book: FieldBook, street: Street, part: OverlayStreet): void {
  const half = street.width / 2;
  for (let station = part.from; station <= part.to; station += 10) {
    const method = surveyAt(part, station);
    if (method === 'none' || (method === 'rtk' && station % 20 !== 0)) continue;
    const across: [number, string][] = [
      [-half, part.edgeCode],
      [-half / 2, ''],
      [0, part.crownCode],
      [half / 2, ''],
      [half, part.edgeCode],
    ];
    for (const [offset, code] of across) {
      const place = { station, offset };
      if (!isOnOtherPavement(street, place)) book.surface(street, place, code, method);
    }
  }
}

/** Shots on the pavement round a cover, then on its rim. */
function shootCover(book: FieldBook, { street, place, row, deed }: TownStructure, part: OverlayStreet): void {
  const method = surveyAt(part, place.station);
  if (method === 'none') return;
  const { random } = book;
  const count = method === 'rtk' ? 4 : 6;
  for (let shot = 0; shot < count; shot++) {
    const angle = (2 * Math.PI * (shot + 0.5 * random.between(0, 1))) / count;
    const reach = random.between(1, 2.2);
    const around = {
      station: place.station + reach * Math.cos(angle),
      offset: place.offset + reach * Math.sin(angle),
    };
    const onPavement = Math.abs(around.offset) <= street.width / 2 && !isOnOtherPavement(street, around);
    if (onPavement) book.surface(street, around, '', method);
  }
  const [east, north] = [row.east!, row.north!];
  const level = row.rimElevation!;
  if (deed !== 'flush') {
    book.record([east, north], level + random.normal(sigmas[method]), { code: 'MH', method });
    return;
  }
  const [slopeEast, slopeNorth] = gradientAt(street, stationOf(street.line, east, north));
  for (let quarter = 0; quarter < 4; quarter++) {
    const [dEast, dNorth] = [Math.sin((quarter * Math.PI) / 2), Math.cos((quarter * Math.PI) / 2)];
    const radius = row.rimDiameter! / 2;
    const elevation = level + radius * (slopeEast * dEast + slopeNorth * dNorth) + random.normal(0.001);
    book.record([east + radius * dEast, north + radius * dNorth], elevation, { code: 'RIM', method });
  }
}
