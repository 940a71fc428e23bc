import { makeProjection } from '#core/crs/crs.ts';
import type { OpenedFile, RawShot } from '#core/intake/types.ts';
import { mapColumns } from '#core/intake/understand/meanings.ts';
import type { Said, Understanding } from '#core/intake/understanding.ts';
import type { Problem } from '#core/problem.ts';
import { metresPer } from '#core/units/length.ts';
import { type LineKind, lineKinds } from '#shared/line.ts';
import { makeStreetPlacer } from '../place-on-street.ts';
import { slugOf } from '../slug.ts';
import { listCoverPlaces } from '../store/covers.ts';
import { cutIntoBlocks } from '../store/faces.ts';
import type { Counts } from '../store/imports/batches.ts';
import { countStructures, storeStructures } from '../store/imports/structures.ts';
import { countDesigns, type DesignToLay, storeDesigns } from '../store/staging/designs.ts';
import { countLines, storeLines } from '../store/staging/lines.ts';
import { countShots, storeShots } from '../store/staging/shots.ts';
import { listStreets } from '../store/streets.ts';
import { findStructures } from '../store/structures.ts';
import type { Transaction } from '../store/transaction.ts';
import type { Codes } from './codes.ts';
import { completeDrafts, sayKeptBlanks, saySeatsUnknown } from './completeDrafts.ts';
import { sayOfGrid, surfaceOfGrid } from './grids.ts';
import type { Positioner } from './position.ts';
import { linesOf, toDesigns, toLines } from './shapes.ts';
import { toShots, type Watch } from './shots.ts';
import { readDrafts, TooManyStructures } from './structures.ts';
import type { TargetSurface } from './surface.ts';
import { ImportRefused, type Work } from './work.ts';

/** A part of a file with all that has to be known to store it. */
export interface PartToLay {
  kind: Understanding['kind'];
  file: OpenedFile;
  said: Said;
  positioner: Positioner;
  elevationMetresPerUnit: number;
  codes: Codes;
  setAside: ReadonlySet<number>;
  surface: TargetSurface;
  /** Role of lines -> kind, `leaveOut`, or null where nobody said. */
  lineKinds: ReadonlyMap<string, string | null>;
}

export interface Watching {
  refuse: (problem: Problem) => void;
  place?: (x: number, y: number) => void;
  /** Sees every rim in the project's grid, metres. */
  rim?: Watch['rim'];
  /** Called after each batch of rows. */
  afterBatch?: () => Promise<void>;
}

export interface Laid {
  counts: Counts;
  surfaceIds: string[];
  /** Parts without rows, e.g. a whole surface, that are left out. */
  wholeRefusals: number;
  /** Why it cannot be stored; null where it can. */
  whyNot: string | null;
  /** What has to be known before it is stored. */
  warnings?: string[];
}

/** Counts what storing the part would do, or stores it where a transaction is given. */
export async function layPart(
  work: Work,
  part: PartToLay,
  watching: Watching,
  transaction: Transaction | null = null,
): Promise<Laid> {
  switch (part.kind) {
    case 'shots':
      return layShots(work, part, watching, transaction);
    case 'structures':
      return layStructures(work, part, watching, transaction);
    case 'design':
      return layDesigns(work, part, watching, transaction);
    case 'lines':
      return layLines(work, part, watching, transaction);
    case 'grid':
      return layGrid(work, part, watching, transaction);
  }
}

const none: Counts = { new: 0, changed: 0, same: 0 };

function watchOf({ progress }: Work, { refuse, place, rim, afterBatch }: Watching): Watch {
  return {
    refuse,
    place,
    rim,
    progress: async () => {
      await progress.add(0);
      await afterBatch?.();
    },
  };
}

async function layShots(
  work: Work,
  part: PartToLay,
  watching: Watching,
  transaction: Transaction | null,
): Promise<Laid> {
  const { record, context } = work;
  const { surface, file, elevationMetresPerUnit } = part;
  if (surface.stored?.form === 'faces') return isOfFaces(surface);
  const set = file.points.find(({ count }) => count !== 0) ?? file.points[0];
  const sigmaMetresPerUnit = set.sigmaUnit === null ? elevationMetresPerUnit : metresPer[set.sigmaUnit];
  const shots = toShots(
    set.shots() as AsyncIterable<RawShot[]>,
    { ...part, sigmaMetresPerUnit },
    watchOf(work, watching),
  );
  const { agencyId, projectId, importId } = record;
  const spool = context.uploads.spoolPathOf(importId, 2);
  // Storing goes through the file once, and through its rows once more as they are sent.
  const all = transaction ? record.files.reduce((sum, { sizeBytes }) => sum + sizeBytes, 0) : 0;
  const sent = (share: number) => work.progress.add(share * all);
  const target = { agencyId, projectId, importId, surface, spool, sent };
  const counts = transaction
    ? await storeShots(transaction, target, shots)
    : await countShots(context.database, target, shots);
  return { counts, surfaceIds: [surface.id], wholeRefusals: 0, whyNot: null };
}

function isOfFaces({ name }: TargetSurface): Laid {
  const whyNot = `The project has a design surface "${name}" already; give the survey another name.`;
  return { counts: none, surfaceIds: [], wholeRefusals: 0, whyNot };
}

async function layStructures(
  work: Work,
  part: PartToLay,
  watching: Watching,
  transaction: Transaction | null,
): Promise<Laid> {
  const { record, context, crs } = work;
  const layer = part.file.layers.find(({ count }) => count !== 0) ?? part.file.layers[0];
  const { drafts, unknowns } = await readDrafts(part.file, layer, part, watchOf(work, watching)).catch(
    (error) => {
      throw error instanceof TooManyStructures ? new ImportRefused(error.message) : error;
    },
  );
  const db = transaction?.db ?? context.database.kysely;
  const ids = drafts.map(({ id }) => id);
  const known = await findStructures(db, record.agencyId, ids);
  const keptBlanks = new Map<string, number>();
  const structures = completeDrafts(drafts, known, { crs, refuse: watching.refuse, keptBlanks });
  for (const { row, id, eastingM, northingM, rimElevationM } of drafts) {
    if (eastingM === null || northingM === null || rimElevationM === null) continue;
    watching.rim?.({ row, point: id, east: eastingM, north: northingM, elevation: rimElevationM });
  }
  const streets = await listStreets(db, record.agencyId);
  const place = makeStreetPlacer(streets, makeProjection(crs));
  const { agencyId, projectId, importId, fileName } = record;
  const given = { agencyId, projectId, structures, place, source: { id: importId, fileName } };
  const counts = transaction ? await storeStructures(db, given) : await countStructures(db, given);
  const warnings = [
    ...unknowns,
    ...saySeatsUnknown(structures),
    ...sayKeptBlanks(keptBlanks, mapColumns(layer, part.said)),
  ];
  return { counts, surfaceIds: [], wholeRefusals: 0, whyNot: null, warnings };
}

async function layDesigns(
  work: Work,
  part: PartToLay,
  watching: Watching,
  transaction: Transaction | null,
): Promise<Laid> {
  let wholeRefusals = 0;
  const designs = toDesigns(part.file.tins, part, (problem) => {
    wholeRefusals++;
    watching.refuse(problem);
  });
  for (const { faces } of designs) {
    const step = Math.max(3, 3 * Math.floor(faces.points.length / 600));
    for (const tin of part.file.tins) {
      for (let at = 0; at + 2 < tin.points.length; at += step)
        watching.place?.(tin.points[at], tin.points[at + 1]);
    }
    break;
  }
  const toLay: DesignToLay[] = designs.map(({ name, faces, sha256 }, index) => {
    const shown = designs.length === 1 ? part.surface.name : nameOf(part.surface.name, name, index);
    const id = slugOf(shown) || `design-${index + 1}`;
    const faceCount = faces.faces.length / 3;
    return { id, name: shown, faceCount, sha256, blocks: () => cutIntoBlocks(faces) };
  });
  return layFaces(work, { part, toLay, wholeRefusals }, transaction);
}

interface FacesToLay {
  part: PartToLay;
  toLay: readonly DesignToLay[];
  wholeRefusals: number;
}

async function layFaces(
  { record, context }: Work,
  { part, toLay, wholeRefusals }: FacesToLay,
  transaction: Transaction | null,
): Promise<Laid> {
  const { agencyId, projectId, importId } = record;
  const given = { agencyId, projectId, importId, surface: part.surface };
  const db = transaction?.db ?? context.database.kysely;
  const laid = transaction ? await storeDesigns(db, given, toLay) : await countDesigns(db, given, toLay);
  return { counts: laid.counts, surfaceIds: toLay.map(({ id }) => id), wholeRefusals, whyNot: laid.whyNot };
}

async function layGrid(
  work: Work,
  part: PartToLay,
  watching: Watching,
  transaction: Transaction | null,
): Promise<Laid> {
  const { record, context } = work;
  const covers = await listCoverPlaces(transaction?.db ?? context.database.kysely, record);
  const { refuse, place, progress } = watchOf(work, watching);
  const watch = { refuse, place, progress: () => progress(0) };
  const laid = await surfaceOfGrid(part.file.grids[0], { ...part, covers }, watch);
  if (laid === null) {
    const whyNot = 'Nothing of this grid can be stored; the problems say why.';
    return { counts: none, surfaceIds: [], wholeRefusals: 0, whyNot };
  }
  const { id, name } = part.surface;
  const faces = await layFaces(work, { part, toLay: [{ ...laid, id, name }], wholeRefusals: 0 }, transaction);
  const longestSideM = work.project.limits.longestSideM.value;
  const warnings = sayOfGrid(part.file.grids[0], laid, { positioner: part.positioner, longestSideM });
  return { ...faces, warnings };
}

/** Several surfaces of a file keep their own names. */
function nameOf(target: string, own: string, index: number): string {
  return (own || `${target} ${index + 1}`).slice(0, 100);
}

async function layLines(
  work: Work,
  part: PartToLay,
  watching: Watching,
  transaction: Transaction | null,
): Promise<Laid> {
  const { record, context } = work;
  const raw = await linesOf(part.file);
  for (const { positions } of raw) for (const [x, y] of positions) watching.place?.(x, y);
  const kindOf = (role: string): LineKind | null => {
    const said = part.lineKinds.get(role) ?? 'other';
    return (lineKinds as readonly string[]).includes(said) ? (said as LineKind) : null;
  };
  const lines = toLines(raw, part, { kindOf, refuse: watching.refuse });
  const { agencyId, projectId, importId } = record;
  const db = transaction?.db ?? context.database.kysely;
  const key = { agencyId, projectId, importId };
  const counts = transaction ? await storeLines(db, key, lines) : await countLines(db, key, lines);
  return { counts, surfaceIds: [], wholeRefusals: 0, whyNot: null };
}
