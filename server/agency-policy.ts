import { hash } from 'node:crypto';
import type { Agency } from '#shared/agency.ts';
import type { PolicyChoice } from '#shared/policy.ts';
import { entersPlan, plannedRope } from './acceptance-limits.ts';
import { judgeAgain } from './field/effects.ts';
import { mergePolicy } from './limits.ts';
import { updateAgencyPolicy } from './store/agencies.ts';
import type { Database } from './store/database.ts';
import { lockLastSeq } from './store/field/records.ts';
import { notifyProject } from './store/notices.ts';
import { touchProjectInputs } from './store/plan/changes.ts';
import { findProjectHead, listProjectIds } from './store/projects.ts';

/** Of an agency as it was read; a change names the one that it was made from. */
export const agencyTag = (agency: Agency): string =>
  hash(
    'sha256',
    JSON.stringify([agency.name, agency.lengthDisplay, Object.entries(agency.policy).sort()]),
  ).slice(0, 20);

/**
 * Changes an agency's own limits; null in the patch takes one back. Plans of all its projects rest on them. null where
 * somebody else changed them first.
 */
export async function changeAgencyPolicy(
  { kysely }: Database,
  before: Agency,
  patch: PolicyChoice,
): Promise<Agency | null> {
  const policy = mergePolicy(before.policy, patch);
  return kysely.transaction().execute(async (db) => {
    if (!(await updateAgencyPolicy(db, before, policy))) return null;
    const projectIds = await listProjectIds(db, before.id);
    // All projects first: judging locks tiles, which those who hold a project wait for.
    for (const projectId of projectIds) {
      await lockLastSeq(db, { agencyId: before.id, projectId });
      if (entersPlan(patch)) await touchProjectInputs(db, { agencyId: before.id, projectId });
    }
    for (const projectId of projectIds) {
      const project = await findProjectHead(db, before.id, projectId);
      if (project) {
        const isOtherRope =
          plannedRope(before.policy, project.policy) !== plannedRope(policy, project.policy);
        if (isOtherRope) await touchProjectInputs(db, { agencyId: before.id, projectId });
        await judgeAgain(db, project);
      }
      await notifyProject(db, before.id, projectId);
    }
    return { ...before, policy };
  });
}
