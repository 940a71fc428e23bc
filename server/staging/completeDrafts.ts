import { type CrsDefinition, makeProjection } from '#core/crs/crs.ts';
import type { StructureMeaning } from '#core/intake/understand/meanings.ts';
import type { Problem } from '#core/problem.ts';
import { counted } from '#core/units/count.ts';
import type { Structure } from '#shared/structure.ts';
import type { NewStructure } from '../store/structures.ts';
import type { StructureDraft } from './structures.ts';

const longestId = 64;
const longestWord = 100;

/** What a structure must have to be stored, and how a file names it. A seat may be unknown: its plan asks for it. */
const needed = {
  eastingM: 'easting',
  northingM: 'northing',
  frameHeightM: 'frame_height',
  rimDiameterM: 'rim_diameter',
} as const satisfies Partial<Record<keyof StructureDraft, string>>;

export interface Completing {
  crs: CrsDefinition;
  refuse: (problem: Problem) => void;
  /** Counts, by field, the blanks that what the register says stands for. */
  keptBlanks?: Map<string, number>;
}

/**
 * Structures as the register keeps them. What a file leaves blank is what the register says of that structure; a new
 * one that lacks what it must have is refused, naming all of it.
 */
export function completeDrafts(
  drafts: readonly StructureDraft[],
  known: ReadonlyMap<string, Structure>,
  { crs, refuse, keptBlanks }: Completing,
): NewStructure[] {
  const { toLonLat } = makeProjection(crs);
  const code = `EPSG:${crs.code}`;
  const complete: NewStructure[] = [];
  for (const draft of drafts) {
    const before = known.get(draft.id);
    const structure = completed(draft, before, { code, toLonLat });
    for (const field of Object.keys(blanks(draft, before))) {
      if (before?.[field as (typeof kept)[number]] != null)
        keptBlanks?.set(field, (keptBlanks.get(field) ?? 0) + 1);
    }
    if ('message' in structure) refuse(structure);
    else complete.push(structure);
  }
  return complete;
}

function completed(
  draft: StructureDraft,
  before: Structure | undefined,
  { code, toLonLat }: { code: string; toLonLat: (east: number, north: number) => [number, number] },
): NewStructure | Problem {
  const refuse = (rule: string, column: string, value: string | null, message: string): Problem => ({
    code: rule,
    row: draft.row,
    column,
    value,
    message,
  });
  const { id } = draft;
  if (id.length > longestId || id.includes('/')) {
    return refuse('notStorable', 'id', id, `an id has at most ${longestId} characters and no slash`);
  }
  for (const column of ['kind', 'owner', 'street'] as const) {
    const value = draft[column];
    if (value !== null && value.length > longestWord) {
      return refuse('notStorable', column, value.slice(0, 80), `at most ${longestWord} characters`);
    }
  }
  const hasPlace = draft.eastingM !== null && draft.northingM !== null;
  // A place in another project's grid is no place in this one's.
  const placed = hasPlace || before?.crs !== code ? draft : { ...draft, ...pick(before) };
  const filled = { ...placed, ...blanks(draft, before) };
  const missing = Object.entries(needed).filter(([field]) => filled[field as keyof typeof needed] === null);
  if (missing.length > 0) {
    const names = missing.map(([, name]) => name).join(', ');
    return refuse('missing', names, null, `${id} is new to the register and cannot be planned without it`);
  }
  const { eastingM, northingM } = filled as { eastingM: number; northingM: number };
  const [lon, lat] = toLonLat(eastingM, northingM);
  if (!Number.isFinite(lon) || !Number.isFinite(lat)) {
    return refuse('noPlace', 'northing, easting', `${northingM}, ${eastingM}`, `no place of ${code}`);
  }
  return {
    id,
    kind: draft.kind ?? before?.kind ?? 'unknown',
    owner: filled.owner,
    street: filled.street,
    lon,
    lat,
    crs: code,
    eastingM,
    northingM,
    seatElevationM: filled.seatElevationM,
    seatGradientEast: filled.seatGradientEast ?? 0,
    seatGradientNorth: filled.seatGradientNorth ?? 0,
    rimElevationM: filled.rimElevationM,
    frameHeightM: filled.frameHeightM!,
    rimDiameterM: filled.rimDiameterM!,
    roadBearingDeg: filled.roadBearingDeg,
    setDownM: filled.setDownM ?? 0,
    adjustment: filled.adjustment ?? 'rings',
    condition: {
      located: draft.located ?? before?.condition.located ?? null,
      chimneyUnsound: draft.chimneyUnsound ?? before?.condition.chimneyUnsound ?? null,
      frameUnsound: draft.frameUnsound ?? before?.condition.frameUnsound ?? null,
    },
    structureDepthM: filled.structureDepthM,
    structureDiameterM: filled.structureDiameterM,
  };
}

const pick = (before: Structure | undefined) =>
  before ? { eastingM: before.eastingM, northingM: before.northingM } : {};

const kept = [
  'owner',
  'street',
  'seatElevationM',
  'seatGradientEast',
  'seatGradientNorth',
  'rimElevationM',
  'frameHeightM',
  'rimDiameterM',
  'roadBearingDeg',
  'setDownM',
  'adjustment',
  'structureDepthM',
  'structureDiameterM',
] as const;

/** What the register says where the file says nothing. */
function blanks(draft: StructureDraft, before: Structure | undefined): Partial<StructureDraft> {
  if (!before) return {};
  return Object.fromEntries(
    kept.filter((field) => draft[field] === null).map((field) => [field, before[field]]),
  );
}

/** Columns of a register by the field that they fill. */
const columnOf: Readonly<Record<(typeof kept)[number], StructureMeaning>> = {
  owner: 'owner',
  street: 'street',
  seatElevationM: 'seat_elevation',
  seatGradientEast: 'seat_gradient_east',
  seatGradientNorth: 'seat_gradient_north',
  rimElevationM: 'rim_elevation',
  frameHeightM: 'frame_height',
  rimDiameterM: 'rim_diameter',
  roadBearingDeg: 'road_bearing',
  setDownM: 'set_down',
  adjustment: 'adjustment',
  structureDepthM: 'structure_depth',
  structureDiameterM: 'structure_diameter',
};

/** Which blanks keep what the register says, of the columns that the file has. */
export function sayKeptBlanks(
  keptBlanks: ReadonlyMap<string, number>,
  columns: readonly { name: string; meaning: StructureMeaning | null }[],
): string[] {
  const said = [...keptBlanks].flatMap(([field, count]) => {
    const column = columns.find(({ meaning }) => meaning === columnOf[field as keyof typeof columnOf]);
    return column ? [`${column.name} in ${counted(count, 'row')}`] : [];
  });
  return said.length === 0 ? [] : [`Blank cells keep what the register says: ${said.join(', ')}.`];
}

/** Structures that are kept although no ring can be planned for them yet. */
export function saySeatsUnknown(structures: readonly NewStructure[]): string[] {
  const without = structures.filter(
    ({ seatElevationM, adjustment }) => seatElevationM === null && adjustment === 'rings',
  );
  if (without.length === 0) return [];
  const [one, many] = ['structure has', 'structures have'];
  return [
    `${counted(without.length, one, many)} no seat elevation: kept and shown, and to be measured before a stack can be planned.`,
  ];
}
