import type { FastifyRequest } from 'fastify';
import Type from 'typebox';
import { Night, NightPaperQuery, PaperQuery } from '#shared/paper.ts';
import { exact, type Static } from '#shared/schema.ts';
import type { App, AppContext } from '../../../context.ts';
import { readConditions } from '../../../cover-list.ts';
import { badField, HttpProblem, notFound } from '../../../http-problem.ts';
import { type Gathering, gatherSheets, startGathering } from '../../../paper/gather.ts';
import { ringTotals } from '../../../paper/list/kit.ts';
import { listPages } from '../../../paper/list/list.ts';
import { type PaperSize, usualPaper } from '../../../paper/paperSize.ts';
import type { DrawPages } from '../../../paper/print.ts';
import { sendPages } from '../../../paper/send.ts';
import { drawSheet } from '../../../paper/sheet/sheet.ts';
import type { SheetCover, SheetSetting } from '../../../paper/sheet/types.ts';
import { dayText, paperUnits } from '../../../paper/units.ts';
import { listCoverIds } from '../../../store/cover-page.ts';
import { ProjectParams, problems, requireAgency, requireProject } from '../../common.ts';

const CoverParams = exact({ ...ProjectParams.properties, structure: Type.String() });
const NightParams = exact({ ...ProjectParams.properties, night: Night });

/** Covers of one document; more than a crew can do in many nights. */
const mostCovers = 1000;
/** Covers read from the database at once while a document is drawn. */
const readAtOnce = 20;

export function paperRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project';
  const schema = { tags: ['paper'], produces: ['application/pdf'], response: problems };

  app.get(
    `${path}/covers/:structure/sheet.pdf`,
    { schema: { ...schema, params: CoverParams, querystring: PaperQuery } },
    async (request, reply) => {
      const { structure, ...place } = request.params;
      const { gathering, setting, size } = await openPaper(context, request, { ...place, ...request.query });
      const night = await readOne(gathering, structure);
      const title = `Crew sheet ${structure}`;
      const options = { name: title, title, size, printedAt: setting.printedAt };
      return sendPages(reply, options, sheetPages(gathering, night, setting));
    },
  );

  app.get(
    `${path}/nights/:night/list.pdf`,
    { schema: { ...schema, params: NightParams, querystring: NightPaperQuery } },
    async (request, reply) => {
      const { night, ...place } = request.params;
      const { crew } = request.query;
      const { gathering, setting, size } = await openPaper(context, request, { ...place, ...request.query });
      const stops = await readNight(gathering, night, crew);
      const covers: SheetCover[] = [];
      for await (const cover of readInTurn(gathering, stops)) covers.push(cover);
      const kit = { rings: ringTotals(covers), sealant: [] };
      const whole = { ...setting, night: night === 'none' ? null : night, crew: crew === '' ? null : crew };
      const title = `List of ${nightWords(night, crew)}`;
      const options = { name: title, title, size, printedAt: setting.printedAt };
      return sendPages(reply, options, later(listPages(covers, kit, whole)));
    },
  );

  app.get(
    `${path}/nights/:night/sheets.pdf`,
    { schema: { ...schema, params: NightParams, querystring: NightPaperQuery } },
    async (request, reply) => {
      const { night, ...place } = request.params;
      const { crew } = request.query;
      const { gathering, setting, size } = await openPaper(context, request, { ...place, ...request.query });
      const stops = await readNight(gathering, night, crew);
      if (stops.length === 0) throw notFound(`cover for ${nightWords(night, crew)}`);
      const title = `Crew sheets of ${nightWords(night, crew)}`;
      const options = { name: title, title, size, printedAt: setting.printedAt };
      return sendPages(reply, options, sheetPages(gathering, stops, setting));
    },
  );
}

interface Stop {
  id: string;
  stop: { number: number; of: number } | null;
}

interface OpenPaper {
  gathering: Gathering;
  setting: SheetSetting;
  size: PaperSize;
}

async function openPaper(
  context: AppContext,
  request: FastifyRequest,
  { agency: agencyId, project: projectId, paper }: Static<typeof ProjectParams> & { paper?: PaperSize },
): Promise<OpenPaper> {
  const agency = await requireAgency(context, agencyId);
  const project = await requireProject(context, { agency: agencyId, project: projectId });
  const origin = context.publicUrl ?? `${request.protocol}://${request.host}`;
  return {
    gathering: await startGathering(context, project, origin),
    setting: {
      agency: agency.name,
      project: project.name,
      units: paperUnits(project),
      printedAt: new Date(),
    },
    size: paper ?? usualPaper(agency),
  };
}

/** One cover with its place in its night's driving order. */
async function readOne(gathering: Gathering, id: string): Promise<Stop[]> {
  const [cover] = await gatherSheets(gathering, [id]);
  if (!cover) throw notFound(`cover "${id}" in project "${gathering.project.id}"`);
  const stops = cover.night === null ? null : await findStops(gathering, cover.night, cover.crew ?? '');
  return [stops?.find((stop) => stop.id === id) ?? { id, stop: null }];
}

/** The covers of a night in driving order. Throws a problem for no day, and for more covers than one document takes. */
async function readNight(gathering: Gathering, night: string, crew: string | undefined): Promise<Stop[]> {
  if (night !== 'none' && !isDay(night)) throw badField('/night', 'is no day', night);
  const stops = await findStops(gathering, night === 'none' ? '' : night, crew);
  if (stops) return stops;
  throw new HttpProblem(422, `More than ${mostCovers} covers have this night: print them crew by crew.`);
}

/** A day that the calendar has: 30 February is none. */
function isDay(text: string): boolean {
  const at = new Date(`${text}T00:00:00Z`);
  return !Number.isNaN(at.getTime()) && at.toISOString().startsWith(text);
}

/** null for more covers than one document takes. */
async function findStops(
  { context, project }: Gathering,
  night: string,
  crew: string | undefined,
): Promise<Stop[] | null> {
  const found = await listCoverIds(
    context.database.kysely,
    { agencyId: project.agencyId, projectId: project.id },
    {
      order: { sort: 'street', direction: 'up' },
      conditions: readConditions({ night, ...(crew === undefined ? {} : { crew }) }),
      after: null,
      limit: mostCovers + 1,
    },
  );
  if (found.length > mostCovers) return null;
  return found.map(({ id }, index) => ({ id, stop: { number: index + 1, of: found.length } }));
}

async function* readInTurn(gathering: Gathering, stops: readonly Stop[]): AsyncGenerator<SheetCover> {
  for (let from = 0; from < stops.length; from += readAtOnce) {
    const some = stops.slice(from, from + readAtOnce);
    const places = new Map(some.map(({ id, stop }) => [id, stop]));
    const covers = await gatherSheets(
      gathering,
      some.map(({ id }) => id),
    );
    for (const cover of covers) yield { ...cover, stop: places.get(cover.structure.id) ?? null };
  }
}

async function* sheetPages(
  gathering: Gathering,
  stops: readonly Stop[],
  setting: SheetSetting,
): AsyncGenerator<DrawPages> {
  for await (const cover of readInTurn(gathering, stops)) yield (paper) => drawSheet(paper, cover, setting);
}

async function* later(pages: Iterable<DrawPages>): AsyncGenerator<DrawPages> {
  yield* pages;
}

function nightWords(night: string, crew: string | undefined): string {
  const when = night === 'none' ? 'no night' : dayText(night);
  return crew === undefined ? when : `${when}, ${crew === '' ? 'no crew' : `crew ${crew}`}`;
}
