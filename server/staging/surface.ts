import type { Understanding } from '#core/intake/understanding.ts';
import type { ImportAnswers, ImportSurface, ImportTarget, SurfaceStage } from '#shared/staged-import.ts';
import { slugOf } from '../slug.ts';
import { findOnlyDatum, findStoredSurface, type StoredSurface } from '../store/staging/surfaces.ts';
import type { Work } from './work.ts';

/** The surface that a file is laid on. */
export interface TargetSurface extends Omit<ImportSurface, 'isNew'> {
  /** What the project has under that name. */
  stored: StoredSurface | null;
}

export interface AboutFile {
  name: string;
  units: Understanding['units'];
  /** Day of all shots of the file, where the file says it. */
  epoch: string | null;
}

const usualLift = 1;

/** Named and described by the user, else like the project's surface of that name, else as is usual: then it is assumed. */
export async function surfaceOf(
  { context, record }: Pick<Work, 'context' | 'record'>,
  { name: partName, units, epoch: ofFile }: AboutFile,
  { answers, likelyStage }: { answers: ImportAnswers; likelyStage: SurfaceStage },
): Promise<TargetSurface> {
  const db = context.database.kysely;
  const { target } = record;
  const name = (target.surfaceName ?? (partName || record.fileName.replace(/\.[^.]*$/, ''))).slice(0, 100);
  const id = slugOf(name) || 'survey';
  const stored = await findStoredSurface(db, record, id);
  const assumed: ImportSurface['assumed'] = [];
  if (!target.surfaceName) assumed.push('name');
  const elevationUnit = lengthOf(units.vertical.unit);
  if (units.vertical.from === 'unknown') assumed.push('elevationUnit');
  if (stored) return { ...stored, elevationUnit: stored.elevationUnit ?? elevationUnit, assumed, stored };
  const stage = target.stage ?? saidStage(answers);
  if (!stage) assumed.push('stage');
  const lift = stage === 'lift' ? (target.lift ?? saidLift(answers)) : null;
  if (stage === 'lift' && lift === null) assumed.push('lift');
  const datum = target.verticalDatum ?? null;
  if (datum === null) assumed.push('verticalDatum');
  const epoch = target.epoch ?? ofFile;
  if (epoch === null) assumed.push('epoch');
  return {
    id,
    name,
    stage: stage ?? likelyStage,
    lift: stage === 'lift' ? (lift ?? usualLift) : null,
    epoch,
    verticalDatum: datum ?? (await findOnlyDatum(db, record)),
    elevationUnit,
    method: target.method ?? null,
    assumed,
    stored,
  };
}

const saidStage = ({ questions }: ImportAnswers) => questions?.stage as SurfaceStage | undefined;

function saidLift({ questions }: ImportAnswers): number | null {
  const lift = Number(questions?.lift);
  return Number.isInteger(lift) && lift > 0 ? lift : null;
}

const lengthOf = (unit: string | null): ImportSurface['elevationUnit'] =>
  unit === 'm' || unit === 'ft' || unit === 'us-ft' ? unit : null;

/** As the preview shows it; null where nothing is laid on a surface. */
export function showSurface(
  { stored, ...surface }: TargetSurface,
  kind: Understanding['kind'],
): ImportSurface | null {
  if (kind === 'structures' || kind === 'lines') return null;
  const { id, name, stage, lift, epoch, verticalDatum, elevationUnit, method, assumed } = surface;
  const isNew = stored === null;
  return { id, name, isNew, stage, lift, epoch, verticalDatum, elevationUnit, method, assumed };
}

/** What was said of the surface and is not so of the one that the project has under that name. */
export function differencesOf(target: ImportTarget, stored: StoredSurface): string[] {
  const fields = ['stage', 'lift', 'epoch', 'verticalDatum'] as const;
  return fields.flatMap((field) => {
    const said = target[field];
    return said === undefined || said === stored[field]
      ? []
      : [`${field} ${stored[field] ?? 'not said'}, here ${said}`];
  });
}
