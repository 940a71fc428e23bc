import type { Problem } from '#core/problem.ts';
import { readRingCatalogue } from '#core/register/rings.ts';
import type { RingCatalogue as CoreCatalogue } from '#core/stack/types.ts';
import { fromMetres, parseLength } from '#core/units/length.ts';
import { kilogramsPerPound } from '#core/units/mass.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';

export const ringFields = ['id', 'thin', 'thick', 'outerDiameter', 'maxPerStack', 'cost', 'mass'] as const;
export const ownFields = ['indexPositions', 'maxRings', 'maxChimney', 'base', 'between', 'top'] as const;

export type RingDraft = Record<(typeof ringFields)[number], string>;

/** A catalogue as it stands in the fields, in its own unit; nothing of it is stored. */
export interface CatalogueDraft extends Record<(typeof ownFields)[number], string> {
  name: string;
  unit: 'in' | 'mm';
  indexFrom: 'road' | 'north';
  rings: RingDraft[];
}

export const emptyRing: RingDraft = {
  id: '',
  thin: '',
  thick: '',
  outerDiameter: '',
  maxPerStack: '',
  cost: '',
  mass: '',
};

export const emptyDraft = (unit: 'in' | 'mm'): CatalogueDraft => ({
  name: '',
  unit,
  indexFrom: 'road',
  indexPositions: '',
  maxRings: '',
  maxChimney: '',
  base: '',
  between: '',
  top: '',
  rings: [emptyRing],
});

/** Millionths of the unit: what was typed comes back as it was. */
const sizeIn = (metres: number, unit: 'in' | 'mm') => String(Number(fromMetres(metres, unit).toFixed(6)));

/** Pounds beside inches, kilograms beside millimetres. */
const massIn = (kilograms: number, unit: 'in' | 'mm') =>
  String(Number((unit === 'in' ? kilograms / kilogramsPerPound : kilograms).toFixed(6)));

export function draftOf(catalogue: CoreCatalogue, name: string): CatalogueDraft {
  const { unit } = catalogue;
  const size = (metres: number) => sizeIn(metres, unit);
  return {
    name,
    unit,
    indexFrom: catalogue.indexFrom,
    indexPositions: String(catalogue.indexPositions),
    maxRings: String(catalogue.maxRings),
    maxChimney: size(catalogue.maxChimney),
    base: size(catalogue.joint.base),
    between: size(catalogue.joint.between),
    top: size(catalogue.joint.top),
    rings: catalogue.rings.map(({ id, thin, thick, outerDiameter, maxPerStack, cost, mass }) => ({
      id,
      thin: size(thin),
      thick: size(thick),
      outerDiameter: size(outerDiameter),
      maxPerStack: String(maxPerStack),
      cost: cost === null ? '' : String(cost),
      mass: mass == null ? '' : massIn(mass, unit),
    })),
  };
}

/** Words for where a fault lies in the table: its headings, not the names of the file. */
const said = ({ column, value, message }: Problem): string =>
  `${column ?? 'catalogue'}${value === null || value === '' ? '' : ` "${value}"`}: ${message}`;

/** Parsed JSON of a catalogue's file as a draft, or everything that is wrong with it. */
export function draftOfFile(text: string, name: string): CatalogueDraft | string[] {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return [`${name} is no JSON.`];
  }
  const read = readRingCatalogue(json);
  return Array.isArray(read) ? read.map(said) : draftOf(read, name.replace(/\.json$/i, ''));
}

/** A number as it is written in a field: `1 1/2` or `1.5`, in the catalogue's unit; what is none stays as text. */
function sizeOf(text: string, unit: 'in' | 'mm'): number | string | undefined {
  const plain = text.trim();
  if (plain === '') return undefined;
  const metres = parseLength(/[a-z"'″′]/i.test(plain) ? plain : `${plain} ${unit}`);
  return typeof metres === 'number' ? Number(fromMetres(metres, unit).toFixed(6)) : plain;
}

const numberOf = (text: string): number | string | undefined => {
  const plain = text.trim();
  return plain === '' ? undefined : Number.isFinite(Number(plain)) ? Number(plain) : plain;
};

/** The catalogue's file, as the command line takes it. */
export function fileOfDraft(draft: CatalogueDraft): unknown {
  const size = (text: string) => sizeOf(text, draft.unit);
  return {
    unit: draft.unit,
    indexPositions: numberOf(draft.indexPositions),
    indexFrom: draft.indexFrom,
    maxRings: numberOf(draft.maxRings),
    maxChimney: size(draft.maxChimney),
    joint: { base: size(draft.base), between: size(draft.between), top: size(draft.top) },
    rings: draft.rings.map(({ id, thin, thick, outerDiameter, maxPerStack, cost, mass }) => ({
      id: id.trim(),
      thin: size(thin),
      thick: size(thick === '' ? thin : thick),
      outerDiameter: size(outerDiameter),
      maxPerStack: numberOf(maxPerStack),
      cost: cost.trim() === '' ? null : numberOf(cost),
      ...(mass.trim() !== '' && { [draft.unit === 'in' ? 'weightLb' : 'massKg']: numberOf(mass) }),
    })),
  };
}

/** What the server stores, or everything that is wrong with the fields. */
export function catalogueOfDraft(draft: CatalogueDraft, id: string): RingCatalogue | string[] {
  const read = readRingCatalogue(fileOfDraft(draft));
  const nameless = draft.name.trim() === '' ? ['name: a catalogue needs a name'] : [];
  if (Array.isArray(read)) return [...nameless, ...read.map(said)];
  return nameless.length > 0 ? nameless : toShared(read, { id, name: draft.name.trim() });
}

function toShared(catalogue: CoreCatalogue, { id, name }: { id: string; name: string }): RingCatalogue {
  const { unit, indexPositions, indexFrom, maxRings, maxChimney, joint, rings } = catalogue;
  return {
    id,
    name,
    unit,
    indexPositions,
    indexFrom,
    maxRings,
    maxChimneyM: maxChimney,
    joint: { baseM: joint.base, betweenM: joint.between, topM: joint.top },
    rings: rings.map((ring) => ({
      id: ring.id,
      thinM: ring.thin,
      thickM: ring.thick,
      outerDiameterM: ring.outerDiameter,
      maxPerStack: ring.maxPerStack,
      cost: ring.cost,
      ...(ring.mass != null && { massKg: ring.mass }),
    })),
  };
}

/** A stored catalogue in core's terms. */
export const toCore = (catalogue: RingCatalogue): CoreCatalogue => ({
  unit: catalogue.unit,
  indexPositions: catalogue.indexPositions,
  indexFrom: catalogue.indexFrom,
  maxRings: catalogue.maxRings,
  maxChimney: catalogue.maxChimneyM,
  joint: {
    base: catalogue.joint.baseM,
    between: catalogue.joint.betweenM,
    top: catalogue.joint.topM,
  },
  rings: catalogue.rings.map((ring) => ({
    id: ring.id,
    thin: ring.thinM,
    thick: ring.thickM,
    outerDiameter: ring.outerDiameterM,
    maxPerStack: ring.maxPerStack,
    cost: ring.cost,
    mass: ring.massKg ?? null,
  })),
});
