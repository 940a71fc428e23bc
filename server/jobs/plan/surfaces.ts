import type { FinishedFrom } from '#core/plan/policy.ts';
import { kindOf, kindsInOrder } from '#core/plan/sources.ts';
import type { StageOfWork } from '#core/treatment/types.ts';
import type { Surface } from '#shared/surface.ts';
import type { SurfaceHead } from '../../store/surfaces.ts';

/** Surveys that are fitted together, or one surface of faces. */
export interface SurfaceGroup extends StageOfWork {
  ids: string[];
  name: string;
  form: 'shots' | 'faces';
  /** Day it was measured or issued, else moment it was stored. */
  dated: string;
  /** No plan is made from it, but its shots on rims say where the rims are. */
  rimsOnly: boolean;
}

/** What the rule in force takes a surface for. */
export function useOf(
  surface: Pick<SurfaceHead, 'stage' | 'form'>,
  { finishedFrom, treated }: { finishedFrom: FinishedFrom; treated: boolean },
): Surface['use'] {
  const kind = kindOf(surface);
  return kindsInOrder(finishedFrom, treated).includes(kind) ? kind : 'none';
}

/** Surveys are fitted together where stage, lift, datum and a stated day are the same, and never otherwise. */
function epochOf({ id, form, stage, lift, epoch, verticalDatum }: SurfaceHead): string {
  const own = form === 'faces' || epoch === null;
  return JSON.stringify(own ? [id] : [stage, lift, epoch, verticalDatum]);
}

/** The surfaces of a project as they are planned from: all that hold something, those of one epoch together. */
export function groupSurfaces(
  surfaces: readonly SurfaceHead[],
  rule: { finishedFrom: FinishedFrom; treated: boolean },
): SurfaceGroup[] {
  const isIdle = (surface: SurfaceHead) => useOf(surface, rule) === 'none';
  const asked = surfaces.filter((surface) =>
    surface.form === 'shots' ? surface.hasShots : surface.faceCount > 0 && !isIdle(surface),
  );
  return [...Map.groupBy(asked, epochOf).values()].map((group): SurfaceGroup => {
    const [{ form, stage, lift, epoch, createdAt }] = group;
    return {
      ids: group.map(({ id }) => id),
      name: group.map(({ name }) => name).join(' + '),
      form,
      stage,
      lift,
      dated: epoch ?? createdAt,
      rimsOnly: isIdle(group[0]),
    };
  });
}

/** What a planner should know of the surfaces before the plan is trusted. */
export function surfaceWarnings(
  surfaces: readonly SurfaceHead[],
  rule: { finishedFrom: FinishedFrom; treated: boolean },
): string[] {
  const full = surfaces.filter(({ hasShots, faceCount }) => hasShots || faceCount > 0);
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

function undatedWarnings(used: readonly SurfaceHead[]): string[] {
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

function datumWarnings(used: readonly SurfaceHead[]): string[] {
  const known = used.filter(({ verticalDatum }) => verticalDatum !== null);
  const datums = Map.groupBy(known, ({ verticalDatum }) => verticalDatum);
  if (datums.size < 2) return [];
  const said = [...datums].map(([datum, group]) => `${group.map(({ name }) => name).join(', ')} in ${datum}`);
  return [`Elevations of different datums do not compare: ${said.join('; ')}.`];
}
