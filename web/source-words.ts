import { formatSmall } from '#core/units/format.ts';
import type { CoverPlan } from '#shared/plan.ts';
import type { Surface } from '#shared/surface.ts';
import type { TreatmentZone } from '#shared/treatment.ts';
import { worstToShow } from './figures.ts';
import type { Units } from './units.ts';

type PlanSource = NonNullable<CoverPlan['source']>;
type StageElevation = CoverPlan['stageElevations'][number];

const fromWords: Readonly<Record<PlanSource['from'], string>> = {
  survey: 'the survey of the finished surface',
  design: 'the design',
  treatment: 'an earlier surface and what is milled and laid on it',
};

/** `existing pavement`, `lift 2`: one stage of the work. */
export function stageText({ stage, lift }: Pick<StageElevation, 'stage' | 'lift'>): string {
  if (stage === 'lift') return lift === null ? 'a lift' : `lift ${lift}`;
  return { existing: 'existing pavement', milled: 'milled surface', finished: 'finished surface' }[stage];
}

/** Which surfaces a finished grade came from, their stage, and the zone of treatment: by name once the lists are here. */
export function sourceText(
  source: PlanSource,
  surfaces: readonly Surface[] | null,
  zones: readonly TreatmentZone[] | null,
): string {
  const nameOf = (list: readonly { id: string; name: string }[] | null, id: string) =>
    list?.find((one) => one.id === id)?.name ?? id;
  const names = source.surfaces.map((id) => nameOf(surfaces, id)).join(', ');
  const zone = source.zone === null ? '' : `, in the zone ${nameOf(zones, source.zone)}`;
  return `${fromWords[source.from]}: ${names}, ${stageText(source)}${zone}`;
}

/** Where no allowance for the survey is asked for: that it is so, and what of the tolerance the stack leaves. */
export function slackWords(
  plan: Pick<CoverPlan, 'allowance' | 'status' | 'reasons' | 'residual' | 'rimErrorM' | 'stack'> | null,
  tolerance: number,
  units: Units,
): string | null {
  if (plan?.allowance !== 'off') return null;
  const worst = worstToShow(plan as CoverPlan);
  if (worst === null) return 'not counted';
  const left = tolerance - Math.abs(worst);
  const size = formatSmall(Math.abs(left), units.small);
  return left >= 0
    ? `not counted; ${size} of the tolerance is left`
    : `not counted; ${size} over the tolerance`;
}
