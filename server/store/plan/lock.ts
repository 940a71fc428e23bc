import type { Transaction } from '../transaction.ts';

/** Takes the right to plan a project until the transaction ends; false where another one has it. */
export async function tryPlanLock(
  sql: Transaction['sql'],
  { agencyId, projectId }: { agencyId: string; projectId: string },
): Promise<boolean> {
  const [row] = await sql<[{ taken: boolean }]>`
    select pg_try_advisory_xact_lock(hashtextextended(${`plan ${agencyId} ${projectId}`}, 0)) as taken`;
  return row.taken;
}
