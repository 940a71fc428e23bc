import { planInProject, prepareProject } from '#core/plan/planInProject.ts';
import { isOnLine } from '#core/plan/reach.ts';
import { faceSource, type Source, shotSource } from '#core/plan/sources.ts';
import type { Cover, CoverPlan } from '#core/plan/types.ts';
import { type LinePiece, longestPiece } from '#core/surface/breakLines.ts';
import { defaultDesignLimits, layOutDesign } from '#core/surface/design.ts';
import { withSettledSigma } from '#core/surface/settledSigma.ts';
import { type ShotColumns, shotRoles } from '#core/surface/shotColumns.ts';
import { layOutSurvey, type Survey } from '#core/surface/survey.ts';
import { withDrawnLines } from '#core/surface/uploadedLines.ts';
import type { Faces } from '../../store/faces.ts';
import type { CoverInput } from '../../store/plan/coverRows.ts';
import type { StoredShots } from '../../store/plan/shotColumns.ts';
import type { SigmaChoices } from '../../store/plan/tables.ts';
import type { PlanCommon } from './common.ts';
import { type Box, hashShots, shortHash } from './hash.ts';
import type { Reach } from './reach.ts';
import { sigmaKey } from './sigmas.ts';
import type { SurfaceGroup } from './surfaces.ts';

/** Covers of a part of a project, with all shots and faces within reach of any of them; `box` holds them all. */
export interface Region {
  covers: readonly CoverInput[];
  /** In the order of the common groups. */
  contents: readonly GroupContent[];
  box: Box;
  reach: Reach;
}

export type GroupContent = { form: 'shots'; shots: StoredShots } | { form: 'faces'; faces: Faces };

/** What planning came to at one cover. */
export interface Verdict {
  structureId: string;
  /** `unasked`: made from what the plan in force was made from. `same`: other inputs, the same outcome. */
  verdict: 'unasked' | 'same' | 'changed' | 'stale';
  inputsHash: number;
  outcomeHash: number;
  outcome: CoverPlan | null;
  json: string;
}

/** Plans the covers of a region one after the other; those made from the same inputs as before are passed over. */
export function* planRegion(common: PlanCommon, sigmas: SigmaChoices, region: Region): Generator<Verdict> {
  const { policy, treatment, solver } = common;
  if (!solver) throw new Error('A plan needs a ring catalogue');
  const sources = common.groups.map((group, at) =>
    toSource(group, region.contents[at], { common, sigmas, region }),
  );
  const project = prepareProject(sources, { treatment, solver, policy });
  const all = region.contents.flatMap((content) => (content.form === 'shots' ? [content.shots] : []));
  const hashes = all.map((shots) => ({
    near: hashShots(shots, () => true, region.box),
    far: hashShots(shots, (shot) => isOnLine(shotRoles[shots.role[shot]]), region.box),
  }));
  const shared = shortHash(common.hash + JSON.stringify(sigmas));
  for (const input of region.covers) {
    const cover = toCover(input, common);
    const { structureId, before } = input;
    const near = boxAround([input], region.reach.near);
    const far = boxAround([input], region.reach.far);
    const sums = hashes.map((each) => `${each.near.of(near)} ${each.far.of(far)}`).join(';');
    const inputsHash = shortHash(`${shared}${JSON.stringify(cover)}${sums}`);
    if (inputsHash === before.inputsHash && !before.isStale) {
      const known = { inputsHash, outcomeHash: before.outcomeHash ?? 0, outcome: null, json: '' };
      yield { structureId, verdict: 'unasked', ...known };
      continue;
    }
    const outcome = planInProject(cover, project);
    const json = JSON.stringify(outcome);
    const outcomeHash = shortHash(json);
    const isSame = outcomeHash === before.outcomeHash;
    const verdict = isSame ? 'same' : before.isStacked && before.outcomeHash !== null ? 'stale' : 'changed';
    yield { structureId, verdict, inputsHash, outcomeHash, outcome, json };
  }
}

/** The rectangle that holds everything within `reach` of covers. */
export function boxAround(covers: readonly Pick<CoverInput, 'eastingM' | 'northingM'>[], reach: number): Box {
  const box = { west: Infinity, south: Infinity, east: -Infinity, north: -Infinity };
  for (const { eastingM, northingM } of covers) {
    box.west = Math.min(box.west, eastingM - reach);
    box.east = Math.max(box.east, eastingM + reach);
    box.south = Math.min(box.south, northingM - reach);
    box.north = Math.max(box.north, northingM + reach);
  }
  return box;
}

function toSource(
  group: SurfaceGroup,
  content: GroupContent,
  { common, sigmas, region }: { common: PlanCommon; sigmas: SigmaChoices; region: Region },
): Source {
  const { policy } = common;
  if (content.form === 'shots') {
    const survey = surveyOf(group, content.shots, { common, sigmas, lines: piecesIn(region.box, common) });
    return shotSource(group, survey, policy);
  }
  const { maxGradient, longestSide } = policy;
  const design = layOutDesign({ name: group.name, ...content.faces }, 1);
  const noShots = layOutSurvey([], group.name, policy.shotSigma);
  return faceSource(group, design, { noShots, limits: { ...defaultDesignLimits, maxGradient, longestSide } });
}

/** A part of a survey with the sigma that was settled for all of it. */
export function surveyOf(
  group: SurfaceGroup,
  shots: ShotColumns,
  { common, sigmas, lines }: { common: PlanCommon; sigmas: SigmaChoices; lines: readonly LinePiece[] },
): Survey {
  const survey = withDrawnLines(layOutSurvey(shots, group.name, common.policy.shotSigma), lines);
  const settled = sigmas[sigmaKey(group)];
  return settled ? withSettledSigma(survey, settled) : survey;
}

function piecesIn({ west, south, east, north }: Box, { breakLines }: PlanCommon): LinePiece[] {
  return breakLines.filter(
    ({ e1, n1, e2, n2 }) =>
      Math.max(e1, e2) >= west - longestPiece &&
      Math.min(e1, e2) <= east + longestPiece &&
      Math.max(n1, n2) >= south - longestPiece &&
      Math.min(n1, n2) <= north + longestPiece,
  );
}

/** The road bearing in force is the register's own, else of an uploaded centre line, else of the street's. */
export function toCover(input: CoverInput, { bearingAt }: Pick<PlanCommon, 'bearingAt'>): Cover {
  const { eastingM: east, northingM: north, street } = input;
  const drawn = input.roadBearingDeg === null ? bearingAt({ east, north, street }) : null;
  const degrees = input.roadBearingDeg ?? input.streetBearingDeg;
  return {
    id: input.structureId,
    kind: input.kind,
    east,
    north,
    seatElevation: input.seatElevationM,
    seatGradient: [input.seatGradientEast, input.seatGradientNorth],
    rimElevation: input.rimElevationM,
    frameHeight: input.frameHeightM,
    rimRadius: input.rimDiameterM / 2,
    roadBearing: drawn ?? (degrees === null ? null : (degrees * Math.PI) / 180),
    setDown: input.setDownM,
    adjustment: input.adjustment,
    condition: input.condition,
  };
}
