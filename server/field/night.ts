import { hash } from 'node:crypto';
import type { CrewNight, CrewNightQuery } from '#shared/crew-night.ts';
import type { Static } from '#shared/schema.ts';
import type { AppContext } from '../context.ts';
import { readCards } from '../cover-card.ts';
import { inDrivingOrder } from '../driving-order.ts';
import { HttpProblem } from '../http-problem.ts';
import { listCoverIds } from '../store/cover-page.ts';
import { findCoversOf } from '../store/covers.ts';
import { findLastSeq, findRecordsOf } from '../store/field/records.ts';
import { findVacuumTable } from '../store/field/vacuum-tables.ts';
import { findProject, type ProjectHead } from '../store/projects.ts';
import { listStreets, toGeoJson } from '../store/streets.ts';

/** Covers of one night; more than a crew can do in many nights. */
const mostCovers = 1000;

/**
 * All that a phone needs for a night, and a tag that is another one whenever any of it is but what a phone takes by
 * itself: the records with the history that they make, and how the project stands as a whole.
 */
export async function readCrewNight(
  context: AppContext,
  project: ProjectHead,
  { night, crew }: Static<typeof CrewNightQuery>,
): Promise<{ bundle: CrewNight; tag: string }> {
  const { kysely } = context.database;
  const key = { agencyId: project.agencyId, projectId: project.id };
  // First, so that whatever comes in while the rest is read is asked for again.
  const lastSeq = await findLastSeq(kysely, key);
  const found = await listCoverIds(kysely, key, {
    order: { sort: 'street', direction: 'up' },
    conditions: { night, crew },
    after: null,
    limit: mostCovers + 1,
  });
  if (found.length > mostCovers)
    throw new HttpProblem(422, `More than ${mostCovers} covers have this night: give them to several crews.`);
  const ids = await inDrivingOrder(
    kysely,
    key,
    found.map(({ id }) => id),
  );
  const covers = await findCoversOf(kysely, key, ids);
  const tableId = project.limits.vacuumTableId.value;
  const [whole, cards, records, streets, vacuumTable] = await Promise.all([
    findProject(kysely, key.agencyId, key.projectId),
    readCards(context, project, covers),
    findRecordsOf(kysely, key, ids),
    listStreets(kysely, key.agencyId),
    tableId === null ? null : findVacuumTable(kysely, key.agencyId, tableId),
  ]);
  if (!whole) throw new Error('The project went away');
  const rest = {
    night: night === '' ? null : night,
    crew: crew === '' ? null : crew,
    project: whole,
    cards,
    records,
    lastSeq,
    streets: toGeoJson(streets),
    vacuumTable,
  };
  const asWhole = { ...whole, statusCounts: undefined, latestJob: undefined };
  const withoutHistory = cards.map((card) => ({ ...card, history: undefined }));
  const tagged = { ...rest, project: asWhole, cards: withoutHistory, records: undefined, lastSeq: undefined };
  const tag = hash('sha256', JSON.stringify(tagged)).slice(0, 32);
  return { bundle: { madeAt: new Date().toISOString(), ...rest }, tag };
}
