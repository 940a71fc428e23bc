import { placeOf } from '#core/plan/plan.ts';
import { settledOf } from '#core/surface/settledSigma.ts';
import { chosenShots, type ShotColumns } from '#core/surface/shotColumns.ts';
import { enoughCovers, estimateSigma, sigmaReach } from '#core/surface/sigma.ts';
import { assumedShotSigma, layOutSurvey } from '#core/surface/survey.ts';
import { withDrawnLines } from '#core/surface/uploadedLines.ts';
import { cellOf } from '../../store/cell.ts';
import { runsAround } from '../../store/plan/cellRuns.ts';
import { type CoverInput, everyCell, readCovers, sampleCovers } from '../../store/plan/coverRows.ts';
import { joinShots, type StoredShots } from '../../store/plan/shotColumns.ts';
import {
  countShotsUpTo,
  hasUnrecordedShots,
  readShots,
  type ShotWindow,
} from '../../store/plan/shotInputs.ts';
import type { SigmaChoices } from '../../store/plan/tables.ts';
import type { Transaction } from '../../store/transaction.ts';
import type { PlanCommon } from './common.ts';
import type { Reach } from './reach.ts';
import { boxAround, toCover } from './region.ts';
import type { SurfaceGroup } from './surfaces.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** A survey of no more shots is looked at whole. */
const wholeSurvey = 50_000;
/** Of a larger one the shots about so many covers are. */
const sampledCovers = 200;

/** Name of a group's sigma among those that are settled. */
export const sigmaKey = ({ ids }: Pick<SurfaceGroup, 'ids'>): string => ids.join('+');

/**
 * Settles the sigma of a shot for every survey that plans are made from: once for all covers, so that a part of them is
 * planned as all of them would be. None for one whose sigma is given.
 */
export async function settleSigmas(
  sql: Transaction['sql'],
  key: ProjectKey,
  common: PlanCommon,
  reach: number,
): Promise<SigmaChoices> {
  const choices: SigmaChoices = {};
  const { shotSigma } = common.policy;
  if (shotSigma !== null && shotSigma > 0) return choices;
  for (const group of common.groups) {
    if (group.form === 'faces' || group.rimsOnly) continue;
    const isRecorded = shotSigma === null && !(await hasUnrecordedShots(sql, key, group.ids));
    choices[sigmaKey(group)] = isRecorded
      ? { shotSigma: assumedShotSigma, sigmaFrom: 'recorded' }
      : await estimate(sql, key, group, { common, reach });
  }
  return choices;
}

async function estimate(
  sql: Transaction['sql'],
  key: ProjectKey,
  group: SurfaceGroup,
  { common, reach }: { common: PlanCommon; reach: number },
): Promise<SigmaChoices[string]> {
  const asked = { surfaceIds: group.ids, limit: wholeSurvey + 1 };
  const isSmall = (await countShotsUpTo(sql, key, asked)) <= wholeSurvey;
  const covers = isSmall
    ? await readCovers(sql, key, [everyCell])
    : await sampleCovers(sql, key, sampledCovers);
  covers.sort((a, b) => (a.structureId < b.structureId ? -1 : 1));
  const { policy, breakLines } = common;
  // Of few covers shots are asked too, and what lies about these.
  const near = covers.length < enoughCovers ? reach : Math.min(reach, sigmaReach(policy));
  const shots = await shotsFor(sql, key, group, isSmall ? null : { covers, reach: { near, far: reach } });
  const survey = withDrawnLines(layOutSurvey(shots, group.name, policy.shotSigma), breakLines);
  return settledOf(
    estimateSigma(
      survey,
      covers.map((cover) => placeOf(toCover(cover, common))),
      policy,
    ),
  );
}

/** Shots in the order of their names, so that equal surveys give equal sigmas. */
async function shotsFor(
  sql: Transaction['sql'],
  key: ProjectKey,
  { ids }: SurfaceGroup,
  around: { covers: readonly CoverInput[]; reach: Reach } | null,
): Promise<ShotColumns> {
  const parts: StoredShots[] = [];
  for (const surfaceId of ids) {
    const surface = { ...key, surfaceId };
    if (around === null) parts.push(await readShots(sql, surface, everywhere));
    else {
      const { covers, reach } = around;
      parts.push(await readShots(sql, surface, windowAround(covers, reach.near), 'offLine'));
      parts.push(await readShots(sql, surface, windowAround(covers, reach.far), 'onLine'));
    }
  }
  const shots = joinShots(parts);
  const names = Array.from({ length: shots.count }, (_, shot) => shots.name(shot));
  const order = Uint32Array.from(names.keys()).sort((a, b) =>
    names[a] !== names[b]
      ? names[a] < names[b]
        ? -1
        : 1
      : shots.east[a] - shots.east[b] || shots.north[a] - shots.north[b],
  );
  return chosenShots(shots, order);
}

const everywhere: ShotWindow = {
  runs: [everyCell],
  west: -Infinity,
  south: -Infinity,
  east: Infinity,
  north: Infinity,
};

const windowAround = (covers: readonly CoverInput[], reach: number): ShotWindow => ({
  ...boxAround(covers, reach),
  runs: runsAround(
    covers.map(({ eastingM, northingM }) => cellOf(eastingM, northingM)),
    reach,
  ),
});
