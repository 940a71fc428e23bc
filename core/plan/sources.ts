import { type DesignLimits, finishedFromDesign } from '../surface/design.ts';
import { finishedFromShots, isGrade } from '../surface/finished.ts';
import type { Place } from '../surface/nearShots.ts';
import type { Survey } from '../surface/survey.ts';
import { type DesignSurface, facesAt } from '../surface/triangles.ts';
import type { FinishedGrade, NoGrade } from '../surface/types.ts';
import { finishAfter, riseOf, type WorkLeft, workLeft } from '../treatment/stages.ts';
import type { PavingTreatment, StageOfWork } from '../treatment/types.ts';
import type { TreatmentAnswer } from '../treatment/zones.ts';
import type { FinishedFrom, Policy } from './policy.ts';
import type { PlanSource, Reason } from './types.ts';

/** One surface of a project that plans may be made from. */
export interface Source extends StageOfWork {
  /** Ids of the stored surfaces: several where surveys of one stage and one day are fitted together. */
  ids: readonly string[];
  name: string;
  form: 'shots' | 'faces';
  /** Day it was measured or issued, or else moment it was stored, as ISO text: later text is newer. */
  dated: string;
  /** Shots; of a surface of faces a survey with none. */
  survey: Survey;
  /** The surface at a place; `reaches` is false where the surface has nothing near it. */
  at(place: Place): { answer: FinishedGrade | NoGrade; reaches: boolean };
}

/** What a surface can be planned from as, by its stage and form. */
export const kindOf = ({ stage, form }: Pick<Source, 'stage' | 'form'>): PlanSource['from'] =>
  stage !== 'finished' ? 'treatment' : form === 'shots' ? 'survey' : 'design';

type SourceName = Pick<Source, 'ids' | 'name' | 'stage' | 'lift' | 'dated'>;

export function shotSource(name: SourceName, survey: Survey, policy: Policy): Source {
  return {
    ...name,
    form: 'shots',
    survey,
    at: (place) => {
      const answer = finishedFromShots(survey, place, policy);
      return { answer, reaches: isGrade(answer) || answer.reason !== 'noShots' };
    },
  };
}

/** `noShots`: a survey without shots, laid out under the same policy. */
export function faceSource(
  name: SourceName,
  surface: DesignSurface,
  { noShots, limits }: { noShots: Survey; limits: DesignLimits },
): Source {
  return {
    ...name,
    form: 'faces',
    survey: noShots,
    at: (place) => {
      const reaches = facesAt(surface, place.east, place.north).length > 0;
      return { answer: finishedFromDesign(surface, place, limits), reaches };
    },
  };
}

/** How far on the work was when a surface was measured; more is later. */
const progress = ({ stage, lift }: StageOfWork): number =>
  stage === 'existing' ? 0 : stage === 'milled' ? 1 : stage === 'lift' ? 2 + (lift ?? 0) : Infinity;

const newestFirst = (a: Source, b: Source): number =>
  progress(b) - progress(a) || (a.dated < b.dated ? 1 : a.dated > b.dated ? -1 : a.name < b.name ? -1 : 1);

/**
 * The surfaces that finished grades come from, in the order in which they are asked. `automatic`: surveys of the
 * finished surface, then design surfaces, then, where the lifts to be laid are known, the surface farthest on in
 * the work with the rest of the treatment. Within each the newest comes first. Another choice takes that kind alone.
 */
export function orderSources(
  sources: readonly Source[],
  finishedFrom: FinishedFrom,
  treated: boolean,
): Source[] {
  const kinds = kindsInOrder(finishedFrom, treated);
  return kinds.flatMap((kind) => sources.filter((s) => kindOf(s) === kind).sort(newestFirst));
}

/** The kinds of surface that the rule asks, in their order. `treated`: it is known what is laid. */
export function kindsInOrder(finishedFrom: FinishedFrom, treated: boolean): PlanSource['from'][] {
  if (finishedFrom !== 'automatic') return [finishedFrom];
  return treated ? ['survey', 'design', 'treatment'] : ['survey', 'design'];
}

/** The finished grade at a place and where it comes from. */
export interface ChosenGrade {
  finished: FinishedGrade | NoGrade;
  source: Source | null;
  from: PlanSource['from'] | null;
  /** What a reader should know of the choice. */
  reasons: Reason[];
}

/**
 * The finished grade at a place from the first surface in order that reaches it. Surfaces are never mixed: where the
 * one that reaches the place gives no answer, its reason stands, and no older or coarser surface is put in its place.
 */
export function chooseFinished(
  ordered: readonly Source[],
  place: Place,
  { treatment, policy }: { treatment: TreatmentAnswer; policy: Policy },
): ChosenGrade {
  const none = { source: null, from: null, reasons: [] };
  if (ordered.length === 0) {
    return { ...none, finished: { reason: 'noSource', wanted: policy.finishedFrom } };
  }
  let nearest: ChosenGrade | null = null;
  for (const source of ordered) {
    const from = kindOf(source);
    const { answer, reaches } = source.at(place);
    const chosen: ChosenGrade = { finished: answer, source, from, reasons: [] };
    if (!reaches) nearest = nearer(nearest, chosen);
    else if (from !== 'treatment' || !isGrade(answer)) return chosen;
    else return treat(chosen, source, { treatment, policy, answer });
  }
  return { ...none, finished: nearest!.finished };
}

/** Of answers that do not reach, the one with the shot that came nearest says most. */
function nearer(a: ChosenGrade | null, b: ChosenGrade): ChosenGrade {
  const distance = ({ finished }: ChosenGrade) =>
    'reason' in finished && finished.reason === 'noShots' ? (finished.nearest ?? 1e9) : Infinity;
  return a && distance(a) <= distance(b) ? a : b;
}

function treat(
  chosen: ChosenGrade,
  source: Source,
  { treatment, policy, answer }: { treatment: TreatmentAnswer; policy: Policy; answer: FinishedGrade },
): ChosenGrade {
  const { name: surface, stage, lift } = source;
  const refuse = (finished: NoGrade): ChosenGrade => ({ ...chosen, finished });
  if (treatment.found === 'several') return refuse({ reason: 'zonesOverlap', names: treatment.names });
  if (treatment.found === 'none' || treatment.treatment === null) {
    const nearest = treatment.found === 'none' ? treatment.nearest : 0;
    return refuse(
      nearest === null ? { reason: 'noTreatment', surface, stage } : { reason: 'outsideZones', nearest },
    );
  }
  const left = workLeft({ stage, lift }, treatment.treatment);
  if (left === 'liftsUnknown') return refuse({ reason: 'noTreatment', surface, stage });
  if (left === 'noSuchLift') return refuse({ reason: 'noSuchLift', surface, lift: lift ?? 0 });
  const { liftSigma } = policy;
  const finished = finishAfter(answer, left, { liftSigma, allowance: source.survey.allowance });
  const reasons = [sayTreatment(source, left, { zone: treatment.zone?.name ?? '', liftSigma })];
  return { ...chosen, finished, reasons };
}

function sayTreatment(
  { name: surface, stage }: Source,
  left: WorkLeft,
  { zone, liftSigma }: { zone: string; liftSigma: number },
): Reason {
  const laid = left.lifts.reduce((total, thickness) => total + thickness, 0);
  const values = { surface, stage, zone, mill: left.mill, lifts: left.lifts.length, laid, liftSigma };
  return { code: 'fromTreatment', values: { ...values, rise: riseOf(left) } };
}

/** The treatment that the mill meets at a rim: of several under it the one that reaches deepest. */
export function deepestMill(treatments: readonly PavingTreatment[]): PavingTreatment | null {
  const reach = ({ millDepth, millClearance }: PavingTreatment) =>
    millDepth > 0 ? millDepth + millClearance : 0;
  return treatments.reduce<PavingTreatment | null>(
    (deepest, each) => (deepest && reach(deepest) >= reach(each) ? deepest : each),
    null,
  );
}
