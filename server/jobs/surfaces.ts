import type { FinishedFrom } from '#core/plan/policy.ts';
import { kindOf, kindsInOrder } from '#core/plan/sources.ts';
import type { Shot } from '#core/surface/types.ts';
import type { SurfaceStage } from '#core/treatment/types.ts';
import type { Surface } from '#shared/surface.ts';
import type { Faces } from '../store/faces.ts';
import type { StoredSurface, SurfaceShot } from '../store/surfaces.ts';

/** A surface that plans may be made from, with what was measured or drawn of it. */
export interface SurfaceInput {
  ids: string[];
  name: string;
  stage: SurfaceStage;
  lift: number | null;
  /** Day it was measured or issued, else moment it was stored. */
  dated: string;
  content: { form: 'shots'; shots: Shot[] } | { form: 'faces'; faces: Faces };
}

/** What the rule in force takes a surface for. */
export function useOf(
  surface: Pick<StoredSurface, 'stage' | 'form'>,
  { finishedFrom, treated }: { finishedFrom: FinishedFrom; treated: boolean },
): Surface['use'] {
  const kind = kindOf(surface);
  return kindsInOrder(finishedFrom, treated).includes(kind) ? kind : 'none';
}

/** Surveys are fitted together where stage, lift, datum and a stated day are the same, and never otherwise. */
function epochOf({ id, form, stage, lift, epoch, verticalDatum }: StoredSurface): string {
  const own = form === 'faces' || epoch === null;
  return JSON.stringify(own ? [id] : [stage, lift, epoch, verticalDatum]);
}

/** Surfaces of shots as they are fitted: those of one epoch together, each other by itself. */
export function groupSurveys(
  surfaces: readonly StoredSurface[],
  shots: readonly SurfaceShot[],
): SurfaceInput[] {
  const bySurface = Map.groupBy(shots, (shot) => shot.surface);
  const measured = surfaces.filter((surface) => surface.form === 'shots' && bySurface.has(surface.id));
  return [...Map.groupBy(measured, epochOf).values()].map((group): SurfaceInput => {
    const [{ stage, lift, epoch, createdAt }] = group;
    return {
      ids: group.map((surface) => surface.id),
      name: group.map((surface) => surface.name).join(' + '),
      stage,
      lift,
      dated: epoch ?? createdAt,
      content: { form: 'shots', shots: group.flatMap((surface) => bySurface.get(surface.id) ?? []) },
    };
  });
}

export function faceInput(surface: StoredSurface, faces: Faces): SurfaceInput {
  const { id, name, stage, lift, epoch, createdAt } = surface;
  return { ids: [id], name, stage, lift, dated: epoch ?? createdAt, content: { form: 'faces', faces } };
}

/** What a planner should know of the surfaces before the plan is trusted. */
export function surfaceWarnings(
  surfaces: readonly StoredSurface[],
  rule: { finishedFrom: FinishedFrom; treated: boolean },
): string[] {
  const full = surfaces.filter(({ shotCount, faceCount }) => shotCount + faceCount > 0);
  const used = full.filter((surface) => useOf(surface, rule) !== 'none');
  const idle = full.filter((surface) => !used.includes(surface));
  return [
    ...idle.map(({ name, stage }) =>
      rule.finishedFrom === 'automatic'
        ? `${name} was shot on the ${stage} surface, so no plan is made from it.`
        : `No plan is made from ${name}: the project takes finished grades from ${rule.finishedFrom} alone.`,
    ),
    ...undatedWarnings(used),
    ...datumWarnings(used),
  ];
}

function undatedWarnings(used: readonly StoredSurface[]): string[] {
  const surveys = used.filter(({ form }) => form === 'shots');
  const groups = Map.groupBy(surveys, ({ stage, lift }) => `${stage}${lift ?? ''}`);
  return [...groups.values()].flatMap((group) => {
    const undated = group.filter(({ epoch }) => epoch === null).map(({ name }) => name);
    if (group.length < 2 || undated.length === 0) return [];
    return [
      `No day is stated for ${undated.join(', ')}: each is fitted by itself, and at a cover the one stored last that reaches it counts.`,
    ];
  });
}

function datumWarnings(used: readonly StoredSurface[]): string[] {
  const known = used.filter(({ verticalDatum }) => verticalDatum !== null);
  const datums = Map.groupBy(known, ({ verticalDatum }) => verticalDatum);
  if (datums.size < 2) return [];
  const said = [...datums].map(([datum, group]) => `${group.map(({ name }) => name).join(', ')} in ${datum}`);
  return [`Elevations of different datums do not compare: ${said.join('; ')}.`];
}
