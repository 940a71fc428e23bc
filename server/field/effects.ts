import type { Kysely } from 'kysely';
import { policyFrom } from '#core/acceptance/limits.ts';
import { type CoverState as FieldState, stateOfCover } from '#core/field/coverState.ts';
import type { AnyKept } from '#core/field/facts.ts';
import { levelRimWithin, takeRimsBack } from '../register.ts';
import { dayIn } from '../site-limits.ts';
import { findCoversOf, type ProjectCover } from '../store/covers.ts';
import { type CoverState, findJudgedIds, sendsOut, setCoverStates } from '../store/field/covers.ts';
import { findRecordsOf } from '../store/field/records.ts';
import { notifyProject } from '../store/notices.ts';
import type { ProjectHead } from '../store/projects.ts';
import { findAcceptedRims } from '../store/rim-records.ts';
import { insertEvents, lockStructures } from '../store/structures.ts';
import type { Tables } from '../store/tables.ts';
import { applyStructureChanges } from '../store/tiles/changes.ts';

/**
 * Brings the covers of records that were just kept to what all their records say now: status, plate, conflicts, history,
 * map, and the register's rim where one was accepted. The caller holds the project's lock; last in his transaction.
 */
export async function applyRecords(
  db: Kysely<Tables>,
  project: ProjectHead,
  fresh: readonly AnyKept[],
): Promise<void> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const ids = [...new Set(fresh.map(({ structureId }) => structureId))].sort();
  const known = await lockStructures(db, key.agencyId, ids);
  const states = await statesOf(db, project, ids);
  await setCoverStates(db, key, states);
  const statuses = new Map(states.map((each) => [each.structureId, each]));
  const last = new Map(fresh.map((record) => [record.structureId, record.id]));
  const events = fresh.filter(({ structureId }) => known.has(structureId));
  await insertEvents(
    db,
    key.agencyId,
    events.map((record) => {
      const to = last.get(record.structureId) === record.id ? statuses.get(record.structureId) : undefined;
      const isMoved = to && to.before.fieldStatus !== to.fieldStatus;
      return {
        structureId: record.structureId,
        kind: 'field' as const,
        detail: {
          ...{ project: key.projectId, record: record.id, recordKind: record.kind, by: record.by },
          ...{ deviceTime: record.deviceTime, seq: record.seq, facts: record.facts },
          ...(isMoved ? { fieldStatus: [to.before.fieldStatus, to.fieldStatus] } : {}),
        },
      };
    }),
  );
  for (const each of states) await registerRim(db, project, { ...each, fresh });
  if (states.some(({ before, fieldStatus }) => before.fieldStatus !== fieldStatus))
    await notifyProject(db, key.agencyId, key.projectId, { byRecords: true });
  await applyStructureChanges(db, key.agencyId, ids);
}

async function statesOf(db: Kysely<Tables>, project: ProjectHead, ids: readonly string[]) {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const covers = await findCoversOf(db, key, ids);
  const records = Map.groupBy(await findRecordsOf(db, key, ids), ({ structureId }) => structureId);
  return covers.map((cover): CoverState & { before: ProjectCover; state: FieldState } => {
    const of = records.get(cover.structureId) ?? [];
    const limits = policyFrom(project.limits, cover.structure.kind);
    const state = stateOfCover(of, { sent: sendsOutCover(cover), limits });
    return { before: cover, state, ...toCoverState(cover, state, of.at(-1)?.seq ?? null) };
  });
}

/** Whether a crew was sent with the cover's plan. */
export const sendsOutCover = ({ night, outcome }: ProjectCover): boolean =>
  night !== null && sendsOut.includes(outcome?.status ?? '');

function toCoverState(cover: ProjectCover, state: FieldState, seq: number | null): CoverState {
  const [plate] = state.plates;
  return {
    structureId: cover.structureId,
    fieldStatus: state.status,
    seq,
    isConflict: state.conflicts.length > 0,
    plate: plate?.plate ?? null,
    platedAt: plate ? new Date(plate.since) : null,
  };
}

/**
 * The register carries a rim from the moment that it is accepted, until that is taken back: its target and the mean of
 * what was measured round it. Work that follows an acceptance does not take back what was true then.
 */
async function registerRim(
  db: Kysely<Tables>,
  project: ProjectHead,
  { before, state, fresh }: { before: ProjectCover; state: FieldState; fresh: readonly AnyKept[] },
): Promise<void> {
  const { structureId } = before;
  const says = new Set(['accepted', 'withdrawn', 'settled']);
  if (!fresh.some((record) => record.structureId === structureId && says.has(record.kind))) return;
  const recordIds = state.leftOut.flatMap(({ record }) => (record.kind === 'accepted' ? [record.id] : []));
  const builtIn = project.id;
  await takeRimsBack(db, project.agencyId, structureId, { recordIds, builtIn });
  const { accepted, rimChecked: rim } = state.checks;
  const target = targetOf(before);
  if (!accepted?.facts.accepted || !rim || target === null) return;
  const there = await findAcceptedRims(db, project.agencyId, structureId);
  if (there.some(({ recordId }) => recordId === accepted.id)) return;
  const mean = rim.facts.rimErrorsM.reduce((sum, error) => sum + error, 0) / 4;
  await levelRimWithin(db, project.agencyId, structureId, {
    // Where the work is: what is accepted in the evening is of that day.
    date: dayIn(project.limits.timeZone.value, (accepted as AnyKept).receivedAt),
    rimElevationM: target + mean,
    pavementElevationM: null,
    who: accepted.by,
    note: `Accepted in ${project.name}`.slice(0, 500),
    fieldRecordId: accepted.id,
    builtIn,
  });
}

/**
 * After the limits of acceptance changed: covers whose rim was checked are judged by the new ones. Within the transaction
 * that changes them; `project` with its new limits.
 */
export async function judgeAgain(db: Kysely<Tables>, project: ProjectHead): Promise<void> {
  const key = { agencyId: project.agencyId, projectId: project.id };
  const ids = await findJudgedIds(db, key);
  for (let from = 0; from < ids.length; from += atOnce) {
    const some = ids.slice(from, from + atOnce);
    const states = await statesOf(db, project, some);
    const moved = states.filter(({ before, fieldStatus }) => before.fieldStatus !== fieldStatus);
    await setCoverStates(db, key, moved);
    await applyStructureChanges(
      db,
      key.agencyId,
      moved.map(({ structureId }) => structureId),
    );
  }
}

/** Covers whose records are read at once. */
const atOnce = 500;

/** Where the plan wants the rim, metres; null where it does not know. */
export function targetOf({ outcome, structure }: ProjectCover): number | null {
  if (!outcome?.finished) return null;
  const asked = outcome.reasons.find(({ code }) => code === 'setDown')?.values?.by;
  const setDown = structure.setDownM !== 0 ? structure.setDownM : Number(asked ?? 0);
  return outcome.finished.elevation - setDown;
}
