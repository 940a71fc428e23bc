import { isDay, readConditions } from '../cover-list.ts';
import { inDrivingOrder } from '../driving-order.ts';
import { badField, HttpProblem, notFound } from '../http-problem.ts';
import { listCoverIds } from '../store/cover-page.ts';
import { type Gathering, gatherSheets, readPhoto, type Sheet } from './gather.ts';
import type { SheetCover } from './sheet/types.ts';
import { dayText } from './units.ts';

/** Covers of one document; more than a crew can do in many nights. */
export const mostCovers = 1000;
/** Covers read from the database at once while a document is drawn. */
const readAtOnce = 20;

export interface Stop {
  id: string;
  stop: { number: number; of: number } | null;
}

/** One cover with its place in its night's driving order. */
export async function readOne(gathering: Gathering, id: string): Promise<Stop[]> {
  const [sheet] = await gatherSheets(gathering, [id]);
  if (!sheet) throw notFound(`cover "${id}" in project "${gathering.project.id}"`);
  const { night, crew } = sheet.cover;
  const stops = night === null ? null : await findStops(gathering, night, crew ?? '');
  return [stops?.find((stop) => stop.id === id) ?? { id, stop: null }];
}

/** The covers of a night in driving order. Throws a problem for no day, and for more covers than one document takes. */
export async function readNight(
  gathering: Gathering,
  night: string,
  crew: string | undefined,
): Promise<Stop[]> {
  if (night !== 'none' && !isDay(night)) throw badField('/night', 'is no day', night);
  const stops = await findStops(gathering, night === 'none' ? '' : night, crew);
  if (stops) return stops;
  throw new HttpProblem(422, `More than ${mostCovers} covers have this night: print them crew by crew.`);
}

/** null for more covers than one document takes. */
async function findStops(
  { context, project }: Gathering,
  night: string,
  crew: string | undefined,
): Promise<Stop[] | null> {
  const { kysely } = context.database;
  const key = { agencyId: project.agencyId, projectId: project.id };
  const found = await listCoverIds(kysely, key, {
    order: { sort: 'street', direction: 'up' },
    conditions: readConditions({ night, ...(crew === undefined ? {} : { crew }) }),
    after: null,
    limit: mostCovers + 1,
  });
  if (found.length > mostCovers) return null;
  const ids = await inDrivingOrder(
    kysely,
    key,
    found.map(({ id }) => id),
  );
  return ids.map((id, index) => ({ id, stop: { number: index + 1, of: found.length } }));
}

/** Sheets at their stops, some at a time, without their photos. */
async function* readInTurn(gathering: Gathering, stops: readonly Stop[]): AsyncGenerator<Sheet> {
  for (let from = 0; from < stops.length; from += readAtOnce) {
    const some = stops.slice(from, from + readAtOnce);
    const places = new Map(some.map(({ id, stop }) => [id, stop]));
    const sheets = await gatherSheets(
      gathering,
      some.map(({ id }) => id),
    );
    for (const { cover, photo } of sheets) {
      yield { cover: { ...cover, stop: places.get(cover.structure.id) ?? null }, photo };
    }
  }
}

/** All of them at once, without photos: what a list needs. */
export async function readForList(gathering: Gathering, stops: readonly Stop[]): Promise<SheetCover[]> {
  const covers: SheetCover[] = [];
  for await (const { cover } of readInTurn(gathering, stops)) covers.push(cover);
  return covers;
}

/** Each with its photo, read when its turn comes. */
export async function* readForSheets(
  gathering: Gathering,
  stops: readonly Stop[],
): AsyncGenerator<SheetCover> {
  for await (const { cover, photo } of readInTurn(gathering, stops)) {
    yield photo ? { ...cover, photo: await readPhoto(gathering, photo) } : cover;
  }
}

/** `Thu 26 Nov 2026, crew A`: what a document is of. */
export function nightWords(night: string, crew: string | undefined): string {
  const when = night === 'none' ? 'no night' : dayText(night);
  return crew === undefined ? when : `${when}, ${crew === '' ? 'no crew' : `crew ${crew}`}`;
}
