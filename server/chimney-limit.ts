import type { Kysely } from 'kysely';
import { usualMaxChimney } from '#core/register/chimney.ts';
import type { ChimneyLimit } from '#shared/outlook.ts';
import type { ProjectHead } from './store/projects.ts';
import { leastChimneyLimit } from './store/ring-catalogues.ts';
import type { Tables } from './store/tables.ts';

/**
 * The limit that chimneys are held to: the one asked for, else that of the project's ring catalogue, else the least of
 * the agency's catalogues, else the default.
 */
export async function findChimneyLimit(
  db: Kysely<Tables>,
  agencyId: string,
  { project, askedM }: { project: ProjectHead | null; askedM?: number },
): Promise<ChimneyLimit> {
  if (askedM !== undefined) return { valueM: askedM, from: 'asked', ringCatalogueId: null };
  if (project?.limits.maxChimneyM.value != null) {
    const { ringCatalogueId } = project;
    return { valueM: project.limits.maxChimneyM.value, from: 'catalogue', ringCatalogueId };
  }
  const least = await leastChimneyLimit(db, agencyId);
  if (least) return { ...least, from: 'catalogue' };
  return { valueM: usualMaxChimney, from: 'default', ringCatalogueId: null };
}
