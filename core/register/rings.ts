import type { Problem } from '../problem.ts';
import type { JointThickness, Ring, RingCatalogue } from '../stack/types.ts';
import { metresPer } from '../units/length.ts';
import { kilogramsPerPound } from '../units/mass.ts';

type Fields = Record<string, unknown>;

/** Collects what is wrong with a catalogue; `where` names the ring or the part that is being read. */
class CatalogueReader {
  readonly problems: Problem[] = [];

  refuse(where: string, field: string, value: unknown, message: string): void {
    this.problems.push({
      code: 'ringCatalogue',
      row: null,
      column: where === '' ? field : `${where}.${field}`,
      value: value === undefined ? null : typeof value === 'string' ? value : JSON.stringify(value),
      message,
    });
  }

  unknownFields(where: string, fields: Fields, known: readonly string[]): void {
    for (const field of Object.keys(fields)) {
      if (!known.includes(field)) {
        this.refuse(
          where,
          field,
          fields[field],
          `not a field of a ring catalogue; known are ${known.join(', ')}`,
        );
      }
    }
  }

  number(where: string, fields: Fields, field: string, rule: NumberRule): number {
    const value = fields[field];
    const named = 'above' in rule ? `above ${rule.above}` : `${rule.least} or more`;
    if (typeof value !== 'number' || !Number.isFinite(value)) {
      this.refuse(
        where,
        field,
        value,
        value === undefined ? `missing; a number ${named}` : `must be a number ${named}`,
      );
    } else if ('above' in rule ? value <= rule.above : value < rule.least) {
      this.refuse(where, field, value, `must be ${named}`);
    } else if (rule.most && value > rule.most.value) {
      this.refuse(where, field, value, `must be at most ${rule.most.value}${rule.most.why}`);
    } else if (rule.whole && !Number.isInteger(value)) {
      this.refuse(where, field, value, 'must be a whole number');
    } else {
      return value;
    }
    return Number.NaN;
  }
}

type NumberRule = ({ above: number } | { least: number }) & {
  most?: { value: number; why: string };
  whole?: boolean;
};

/** Marks nearer together than a degree are no marks. */
const mostMarks = { value: 360, why: '; 0 stands for any angle' };
const mostRings = { value: 50, why: '' };

const top = ['unit', 'indexPositions', 'indexFrom', 'maxRings', 'maxChimney', 'joint', 'rings'];
const ringFields = ['id', 'thin', 'thick', 'outerDiameter', 'maxPerStack', 'cost', 'massKg', 'weightLb'];

/** Reads a ring catalogue (parsed JSON, lengths in its own unit) into metres; every fault found is a problem. */
export function readRingCatalogue(json: unknown): RingCatalogue | Problem[] {
  const reader = new CatalogueReader();
  if (!isFields(json)) {
    reader.refuse('', 'catalogue', json, 'must be an object with unit, joint and rings');
    return reader.problems;
  }
  reader.unknownFields('', json, top);
  const unit = json.unit === 'in' || json.unit === 'mm' ? json.unit : null;
  if (unit === null) reader.refuse('', 'unit', json.unit, 'must be "in" or "mm"');
  const metres = metresPer[unit ?? 'mm'];
  const indexFrom = json.indexFrom ?? 'north';
  if (indexFrom !== 'road' && indexFrom !== 'north') {
    reader.refuse('', 'indexFrom', json.indexFrom, 'must be "road" or "north"; absent is north');
  }
  const catalogue: RingCatalogue = {
    unit: unit ?? 'mm',
    indexPositions: reader.number('', json, 'indexPositions', { least: 0, most: mostMarks, whole: true }),
    indexFrom: indexFrom === 'road' ? 'road' : 'north',
    maxRings: reader.number('', json, 'maxRings', { least: 0, most: mostRings, whole: true }),
    maxChimney: reader.number('', json, 'maxChimney', { above: 0 }) * metres,
    joint: readJoint(reader, json.joint, metres),
    rings: readRings(reader, json.rings, metres),
  };
  return reader.problems.length === 0 ? catalogue : reader.problems;
}

function readJoint(reader: CatalogueReader, joint: unknown, metres: number): JointThickness {
  if (!isFields(joint)) {
    reader.refuse('', 'joint', joint, 'must be an object with base, between and top');
    return { base: 0, between: 0, top: 0 };
  }
  reader.unknownFields('joint', joint, ['base', 'between', 'top']);
  const thickness = (field: string): number => reader.number('joint', joint, field, { least: 0 }) * metres;
  return { base: thickness('base'), between: thickness('between'), top: thickness('top') };
}

function readRings(reader: CatalogueReader, rings: unknown, metres: number): Ring[] {
  if (!Array.isArray(rings) || rings.length === 0) {
    reader.refuse('', 'rings', rings, 'must be a list of at least one ring');
    return [];
  }
  const seen = new Set<string>();
  return rings.map((ring: unknown, index) => readRing(reader, ring, { index, seen, metres }));
}

function readRing(
  reader: CatalogueReader,
  ring: unknown,
  { index, seen, metres }: { index: number; seen: Set<string>; metres: number },
): Ring {
  const fields = isFields(ring) ? ring : {};
  if (!isFields(ring)) reader.refuse('rings', String(index), ring, 'a ring must be an object');
  const id = typeof fields.id === 'string' ? fields.id.trim() : '';
  const where = id === '' ? `rings[${index}]` : `ring ${id}`;
  if (id === '') reader.refuse(where, 'id', fields.id, 'a ring needs an id, as text');
  else if (seen.has(id)) reader.refuse(where, 'id', id, 'a second ring of this id; ids must differ');
  seen.add(id);
  reader.unknownFields(where, fields, ringFields);
  const thin = reader.number(where, fields, 'thin', { above: 0 });
  const thick = reader.number(where, fields, 'thick', { above: 0 });
  if (thin > thick) reader.refuse(where, 'thin', thin, `must not be above thick (${thick})`);
  const hasCost = fields.cost !== undefined && fields.cost !== null;
  return {
    id,
    thin: thin * metres,
    thick: thick * metres,
    outerDiameter: reader.number(where, fields, 'outerDiameter', { above: 0 }) * metres,
    maxPerStack: reader.number(where, fields, 'maxPerStack', { least: 0, whole: true }),
    cost: hasCost ? reader.number(where, fields, 'cost', { least: 0 }) : null,
    mass: readMass(reader, where, fields),
  };
}

const mostMass = { value: 2000, why: ' for a ring that is laid by hand or hoist' };

/** Kilograms, of either unit; null where neither is given. */
function readMass(reader: CatalogueReader, where: string, fields: Fields): number | null {
  const given = (['massKg', 'weightLb'] as const).filter((field) => fields[field] != null);
  if (given.length === 2)
    reader.refuse(where, 'weightLb', fields.weightLb, 'is given beside massKg; give one of them');
  if (given.length === 0) return null;
  const value = reader.number(where, fields, given[0], { above: 0, most: mostMass });
  return given[0] === 'massKg' ? value : value * kilogramsPerPound;
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
