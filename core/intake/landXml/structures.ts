import type { LengthUnit } from '../../units/length.ts';
import type { Faults } from '../faults.ts';
import { ownText } from '../growing.ts';
import { readNumber, readNumbers } from '../numbers.ts';
import type { Layer, LayerColumn, RawFeature, RawPosition } from '../types.ts';
import type { XmlAttributes } from '../xmlStream.ts';
import type { CgPoints } from './points.ts';
import type { PlaceStatement, Section, Wanted } from './section.ts';

interface Structure {
  row: number;
  place: PlaceStatement | null;
  values: (string | number | null)[];
}

/** Elements of a Struct that say what it is. */
const shapes: ReadonlySet<string> = new Set([
  'CircStruct',
  'RectStruct',
  'InletStruct',
  'OutletStruct',
  'Connection',
]);

/** More structures than a file is meant to bring; further ones are not read. */
const mostStructures = 1_000_000;
const batch = 1000;

/** The structures of all pipe networks of a file, as one table. */
export class Structures {
  readonly #faults: Faults;
  readonly #all: Structure[] = [];
  readonly #numbers: number[] = [];
  #full = false;

  constructor(faults: Faults) {
    this.#faults = faults;
  }

  get length(): number {
    return this.#all.length;
  }

  /** Takes one Struct element of the named network. */
  section(attributes: XmlAttributes, row: number, network: { name: string; type: string }): Section {
    const found: Found = { shape: '', diameter: null, length: null, width: null, material: '', invert: null };
    let place: PlaceStatement | null = null;
    let reference: string | null = null;
    return {
      open: (name, inner, innerRow): Wanted => {
        if (name === 'Center') {
          reference = inner.pntRef?.trim() || null;
          return 'text';
        }
        if (name === 'Invert') {
          const invert = this.#number(inner, 'elev', innerRow);
          if (invert !== null && (found.invert === null || invert < found.invert)) found.invert = invert;
        } else if (shapes.has(name)) {
          found.shape = name;
          found.material = ownText(inner.material ?? '');
          found.diameter = this.#number(inner, 'diameter', innerRow);
          found.length = this.#number(inner, 'length', innerRow);
          found.width = this.#number(inner, 'width', innerRow);
        }
        return 'open';
      },
      close: (name, text, innerRow) => {
        if (name === 'Center') place = this.#centre(text ?? '', reference, innerRow);
      },
      end: () => this.#add(attributes, row, { network, found, place }),
    };
  }

  #add(
    attributes: XmlAttributes,
    row: number,
    {
      network,
      found,
      place,
    }: { network: { name: string; type: string }; found: Found; place: PlaceStatement | null },
  ): void {
    if (this.#all.length >= mostStructures) {
      const message = `more than ${mostStructures.toLocaleString('en')} structures; from here on they are not read`;
      if (!this.#full) this.#faults.say({ code: 'tooManyStructures', row, message });
      this.#full = true;
      return;
    }
    const name = ownText(attributes.name ?? attributes.oID ?? '');
    const rim = this.#number(attributes, 'elevRim', row);
    const sump = this.#number(attributes, 'elevSump', row);
    const { shape, diameter, length, width, material, invert } = found;
    const texts = [ownText(attributes.desc ?? ''), network.name, network.type, shape, material];
    this.#all.push({ row, place, values: [name, rim, sump, invert, ...texts, diameter, length, width] });
  }

  #number(attributes: XmlAttributes, column: string, row: number): number | null {
    const text = attributes[column]?.trim();
    if (!text) return null;
    const value = readNumber(text);
    if (value === null)
      this.#faults.say({ code: 'notANumber', row, column, value: text, message: 'not a number' });
    return value;
  }

  #centre(text: string, reference: string | null, row: number): PlaceStatement | null {
    const bad = readNumbers(text, this.#numbers);
    const [north, east, elevation = null] = this.#numbers;
    if (bad === null && this.#numbers.length >= 2) return { north, east, elevation };
    if (reference !== null) return { pointName: ownText(reference) };
    const message = 'a structure wants northing and easting';
    this.#faults.say({ code: 'place', row, column: 'Center', value: bad ?? text.trim(), message });
    return null;
  }

  /** The table, once all points of the file are known. `diameterUnit` is what the file's Units say of diameters. */
  layer(points: CgPoints, diameterUnit: LengthUnit | null): Layer {
    const features: RawFeature[] = this.#all.map(({ row, place, values }) => {
      const found = place && points.placeOf(place);
      if (!found)
        this.#faults.say({
          code: 'noPlace',
          row,
          value: String(values[0]),
          message: 'a structure without a place',
        });
      const position: RawPosition | null = found && [found.east, found.north, found.elevation];
      return { row, values, geometry: position && { type: 'point', position } };
    });
    return {
      name: 'Structures',
      columns: columnsOf(diameterUnit),
      geometry: 'point',
      count: features.length,
      crs: null,
      async *features() {
        for (let at = 0; at < features.length; at += batch) yield features.slice(at, at + batch);
      },
    };
  }
}

interface Found {
  shape: string;
  diameter: number | null;
  length: number | null;
  width: number | null;
  material: string;
  /** The lowest of the inverts. */
  invert: number | null;
}

function columnsOf(diameterUnit: LengthUnit | null): LayerColumn[] {
  const text = (name: string): LayerColumn => ({ name, type: 'text' });
  const number = (name: string): LayerColumn => ({ name, type: 'number' });
  return [
    text('name'),
    number('rim_elevation'),
    number('sump_elevation'),
    number('lowest_invert'),
    text('description'),
    text('network'),
    text('network_type'),
    text('shape'),
    text('material'),
    number(
      diameterUnit === null ? 'structure_diameter' : `structure_diameter_${diameterUnit.replace('-', '_')}`,
    ),
    number('length'),
    number('width'),
  ];
}
