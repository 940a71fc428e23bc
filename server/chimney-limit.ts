import type { Kysely } from 'kysely';
import { usualMaxChimney } from '#core/register/chimney.ts';
import { makeSolver } from '#core/stack/solve.ts';
import type { ChimneyLimit } from '#shared/outlook.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import { toCatalogue } from './catalogue.ts';
import { badField } from './http-problem.ts';
import { findAgency } from './store/agencies.ts';
import type { ProjectHead } from './store/projects.ts';
import { leastChimneyLimit } from './store/ring-catalogues.ts';
import type { Tables } from './store/tables.ts';

/**
 * The limit that chimneys are held to: the one asked for, else the project's own, else the agency's, else that of the
 * project's ring catalogue, else the least of the agency's catalogues, else the default.
 */
export async function findChimneyLimit(
  db: Kysely<Tables>,
  agencyId: string,
  { project, askedM }: { project: ProjectHead | null; askedM?: number },
): Promise<ChimneyLimit> {
  if (askedM !== undefined) return { valueM: askedM, from: 'asked', ringCatalogueId: null };
  if (project?.limits.maxChimneyM.value != null) {
    const { value: valueM, from } = project.limits.maxChimneyM;
    return { valueM, from, ringCatalogueId: from === 'catalogue' ? project.ringCatalogueId : null };
  }
  const own = (await findAgency(db, agencyId))?.policy.maxChimneyM;
  if (own != null) return { valueM: own, from: 'agency', ringCatalogueId: null };
  const least = await leastChimneyLimit(db, agencyId);
  if (least) return { ...least, from: 'catalogue' };
  return { valueM: usualMaxChimney, from: 'default', ringCatalogueId: null };
}

/** Throws 400 where rings of a catalogue could be stacked in more ways up to this limit than can be looked at. */
export function checkChimneyLimit(
  catalogues: readonly RingCatalogue[],
  maxChimneyM: number | null | undefined,
): void {
  if (maxChimneyM == null) return;
  for (const catalogue of catalogues) {
    try {
      makeSolver(toCatalogue(catalogue, maxChimneyM));
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      throw badField(
        '/policy/maxChimneyM',
        `with the rings of "${catalogue.id}": ${error.message}`,
        maxChimneyM,
      );
    }
  }
}
