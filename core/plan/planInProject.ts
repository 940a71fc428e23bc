import type { Solver } from '../stack/solve.ts';
import type { Place } from '../surface/nearShots.ts';
import { layOutSurvey, type Survey } from '../surface/survey.ts';
import { stageElevations } from '../treatment/stages.ts';
import { type ProjectTreatment, type TreatmentAnswer, treatmentAt } from '../treatment/zones.ts';
import { noTreatment, placeOf, planCover } from './plan.ts';
import type { Policy } from './policy.ts';
import { type ChosenGrade, chooseFinished, deepestMill, orderSources, type Source } from './sources.ts';
import type { Cover, CoverPlan, Reason, Treatment } from './types.ts';

/** What the covers of a project with its surfaces, treatments and rings have in common. */
export interface ProjectContext {
  ordered: readonly Source[];
  /** Surveys with shots on rims, the newest first. */
  withRims: readonly Source[];
  treatment: ProjectTreatment;
  solver: Solver;
  policy: Policy;
  /** For covers that no source reaches. */
  noShots: Survey;
}

/** Is it known anywhere in the project what is laid on an earlier surface? */
export const isTreated = ({ zones, everywhere }: ProjectTreatment): boolean =>
  zones.length > 0 || (everywhere !== null && everywhere.lifts !== null);

/** Order the surfaces of a project by the policy's rule. Do this once for all covers. */
export function prepareProject(
  sources: readonly Source[],
  { treatment, solver, policy }: Pick<ProjectContext, 'treatment' | 'solver' | 'policy'>,
): ProjectContext {
  const treated = isTreated(treatment);
  const newest = (a: Source, b: Source) => (a.dated < b.dated ? 1 : a.dated > b.dated ? -1 : 0);
  return {
    ordered: orderSources(sources, policy.finishedFrom, treated),
    withRims: sources.filter((s) => s.survey.rims.shots.count > 0).sort(newest),
    treatment,
    solver,
    policy,
    noShots: layOutSurvey([], '', policy.shotSigma),
  };
}

/**
 * Plan one cover of a project: the surface that the rule chooses, the treatment of its place, decision and stack.
 * Where the treatment is in doubt (zones over one another, the edge of a zone under the rim) a plan that would have
 * been carried out is up for review instead.
 */
export function planInProject(cover: Cover, project: ProjectContext): CoverPlan {
  const { solver, policy } = project;
  const place = placeOf(cover);
  const here = treatmentAt(project.treatment, place);
  const chosen = chooseFinished(project.ordered, place, { treatment: here, policy });
  const { setDown, reasons: lowered } = setDownOf(cover, here);
  const plan = planCover(
    { ...cover, setDown },
    {
      survey: surveyFor(project, place, chosen),
      finishedAt: () => chosen.finished,
      solver,
      policy,
      treatment: forMill(here, project.treatment),
    },
  );
  const doubts = doubtsOf(here, chosen);
  const status = doubts.length > 0 && isCarriedOut(plan) ? 'review' : plan.status;
  const reasons = [...plan.reasons, ...chosen.reasons, ...lowered, ...doubts];
  return { ...plan, status, reasons, ...sourceOf(chosen, here, plan) };
}

const isCarriedOut = ({ status }: CoverPlan): boolean =>
  status === 'raise' || status === 'leave' || status === 'lower';

/** The survey of the chosen surface, with the newest rim shots of any stage: a rim stays while the road is worked on. */
function surveyFor({ withRims, noShots }: ProjectContext, place: Place, { source }: ChosenGrade): Survey {
  const survey = source?.survey ?? noShots;
  const found: number[] = [];
  const own = withRims.find(({ survey: { rims } }) => {
    rims.grid.within(place.east, place.north, place.rimRadius, found);
    return found.length > 0;
  });
  return own ? { ...survey, rims: own.survey.rims } : survey;
}

/** A cover's own set-down counts before that of its zone; a register has 0 where nobody asked for one. */
function setDownOf(cover: Cover, here: TreatmentAnswer): { setDown: number; reasons: Reason[] } {
  const asked = here.found === 'is' || here.found === 'edge' ? (here.treatment?.setDown ?? 0) : 0;
  if (cover.setDown !== 0 || asked === 0) return { setDown: cover.setDown, reasons: [] };
  return { setDown: asked, reasons: [{ code: 'setDown', values: { by: asked } }] };
}

/** Whether risers may be set goes on outside the zones; the mill does not. */
function forMill(here: TreatmentAnswer, { everywhere }: ProjectTreatment): Treatment {
  if (here.found === 'is') return here.treatment;
  const unmilled = { ...noTreatment, maxRiser: everywhere?.maxRiser ?? 0 };
  return here.found === 'edge' ? deepestMill(here.under.treatments)! : unmilled;
}

function doubtsOf(here: TreatmentAnswer, { finished }: ChosenGrade): Reason[] {
  if (here.found === 'edge') {
    const { names, distance } = here.under;
    return [{ code: 'zoneEdge', values: { names, distance } }];
  }
  const said = 'reason' in finished && finished.reason === 'zonesOverlap';
  return here.found === 'several' && !said ? [{ code: 'zonesOverlap', values: { names: here.names } }] : [];
}

function sourceOf(
  { source, from }: ChosenGrade,
  here: TreatmentAnswer,
  { finished }: CoverPlan,
): Pick<CoverPlan, 'source' | 'stageElevations'> {
  const zone = here.found === 'is' || here.found === 'edge' ? here.zone : null;
  const treatment = here.found === 'is' || here.found === 'edge' ? here.treatment : null;
  return {
    ...(source && from && finished
      ? {
          source: {
            from,
            surfaces: [...source.ids],
            stage: source.stage,
            lift: source.lift,
            zone: zone?.id ?? null,
          },
        }
      : {}),
    stageElevations:
      treatment && finished ? stageElevations(finished.elevation, treatment, source!.stage) : [],
  };
}
