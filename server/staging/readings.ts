import type { CrsDefinition } from '#core/crs/crs.ts';
import { lonLatEpsg } from '#core/crs/statement.ts';
import { type LengthUnit, metresPer } from '#core/units/length.ts';
import type { ImportQuestion, ImportReading } from '#shared/staged-import.ts';
import { crsLookup } from '../intake/lookup.ts';
import { makePositioner, type PositionReading } from './position.ts';

/** Positions shown of a file, evenly spread over it. */
const mostShown = 150;

/** Keeps some positions of many, as read. */
export class Spread {
  #kept: [x: number, y: number][] = [];
  #stride = 1;
  #count = 0;

  add(x: number, y: number): void {
    if (this.#count++ % this.#stride !== 0) return;
    this.#kept.push([x, y]);
    if (this.#kept.length < 2 * mostShown) return;
    this.#kept = this.#kept.filter((_, index) => index % 2 === 0);
    this.#stride *= 2;
  }

  get places(): readonly (readonly [x: number, y: number])[] {
    return this.#kept;
  }
}

interface Around {
  spread: Spread;
  reading: PositionReading;
  project: CrsDefinition;
}

/** Where the file's positions would land, read as they are now and as each open choice would have them. */
export function readingsOf(questions: readonly ImportQuestion[], around: Around): ImportReading[] {
  const now = show({ question: null, choice: null, text: 'as shown', inside: null }, around.reading, around);
  const others = questions.flatMap(({ id, code, choices }) =>
    choices.flatMap(({ id: choice, text, inside }) => {
      const reading = readingBy(code, choice, around);
      return reading ? [show({ question: id, choice, text, inside }, reading, around)] : [];
    }),
  );
  return [now, ...others];
}

function show(
  about: Omit<ImportReading, 'places'>,
  reading: PositionReading,
  { spread, project }: Around,
): ImportReading {
  const { toLonLat } = makePositioner(reading, project);
  const coordinates = spread.places
    .map(([x, y]) => [...toLonLat(x, y)])
    .filter(([lon, lat]) => Math.abs(lon) <= 180 && Math.abs(lat) <= 90)
    .map(([lon, lat]) => [Number(lon.toFixed(7)), Number(lat.toFixed(7))]);
  return { ...about, places: { type: 'MultiPoint', coordinates } };
}

/** The reading that a choice stands for; null where it changes no position. */
function readingBy(code: string, choice: string, { reading, project }: Around): PositionReading | null {
  switch (code) {
    case 'axisOrder':
      return { ...reading, swapped: choice === 'swapped' };
    case 'horizontalUnit':
    case 'whichFoot':
      return Object.hasOwn(metresPer, choice)
        ? { ...reading, metresPerUnit: metresPer[choice as LengthUnit] }
        : null;
    case 'crs':
    case 'zone':
    case 'lonLatInGrid':
      return inSystem(choice, reading, project);
    default:
      return null;
  }
}

function inSystem(choice: string, reading: PositionReading, project: CrsDefinition): PositionReading | null {
  if (choice === 'degrees' || choice === `EPSG:${lonLatEpsg}`) return { ...reading, crs: null };
  const code = /^EPSG:(\d{4,6})$/.exec(choice);
  const crs = choice === 'project' ? project : code ? crsLookup.find(Number(code[1])) : null;
  return crs ? { ...reading, crs, metresPerUnit: crs.metresPerUnit } : null;
}
