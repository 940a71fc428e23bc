import { Readable } from 'node:stream';
import { Takeoff, TakeoffCsvQuery, TakeoffPaperQuery, TakeoffQuery } from '#shared/takeoff.ts';
import type { App, AppContext } from '../../../context.ts';
import { readConditions } from '../../../cover-list.ts';
import { orderPages } from '../../../paper/order/order.ts';
import { scopeWords } from '../../../paper/order/scope.ts';
import { usualPaper } from '../../../paper/paperSize.ts';
import { sendPages } from '../../../paper/send.ts';
import type { ProjectHead } from '../../../store/projects.ts';
import type { CoverConditions } from '../../../store/selection.ts';
import { eachLeftOut, readTakeoff } from '../../../supply/takeoff.ts';
import { groupLines, leftOutHead, leftOutLine, ringLines } from '../../../supply/takeoff-csv.ts';
import { ProjectParams, problems, requireAgency, requireProject } from '../../common.ts';

const path = '/agencies/:agency/projects/:project/takeoff';

/** Rings of a project's covers: needed, spare, on hand, to order; and which covers are not in it. */
export function takeoffRoutes(app: App, context: AppContext): void {
  const tags = ['projects'];

  app.get(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: TakeoffQuery,
        response: { 200: Takeoff, ...problems },
      },
    },
    async (request) => {
      const project = await requireProject(context, request.params);
      const { by = null, ...filter } = request.query;
      return readTakeoff(context.database, project, { conditions: readConditions(filter), by });
    },
  );

  app.get(
    `${path}.csv`,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: TakeoffCsvQuery,
        produces: ['text/csv'],
        response: problems,
      },
    },
    async (request, reply) => {
      const project = await requireProject(context, request.params);
      const { by = 'ring', ...filter } = request.query;
      const conditions = readConditions(filter);
      const lines = await readLines(context, project, { conditions, by });
      reply.header('content-disposition', `attachment; filename="takeoff by ${csvNames[by]}.csv"`);
      return reply.type('text/csv; charset=utf-8').send(Readable.from(inBlocks(lines)) as never);
    },
  );
  paperRoute(app, context);
}

function paperRoute(app: App, context: AppContext): void {
  app.get(
    `${path}.pdf`,
    {
      schema: {
        tags: ['paper'],
        params: ProjectParams,
        querystring: TakeoffPaperQuery,
        produces: ['application/pdf'],
        response: problems,
      },
    },
    async (request, reply) => {
      const agency = await requireAgency(context, request.params.agency);
      const project = await requireProject(context, request.params);
      const { paper: size = usualPaper(agency), ...filter } = request.query;
      const found = await readTakeoff(context.database, project, {
        conditions: readConditions(filter),
        by: null,
      });
      const printedAt = new Date();
      const title = `Order list ${project.name}`;
      const setting = {
        agency: agency.name,
        project: project.name,
        scope: scopeWords(filter),
        printedAt,
        timeZone: project.limits.timeZone.value,
        twoPersonsKg: project.limits.twoPersonsKg.value,
      };
      async function* pages() {
        yield* orderPages(found, setting);
      }
      return sendPages(reply, { name: title, title, size, printedAt }, pages());
    },
  );
}

async function readLines(
  { database }: AppContext,
  project: ProjectHead,
  { conditions, by }: { conditions: CoverConditions; by: NonNullable<TakeoffCsvQuery['by']> },
): Promise<Iterable<string>> {
  if (by === 'leftOut') {
    const lines = [leftOutHead];
    await eachLeftOut(database, project, conditions, (cover, why) => lines.push(leftOutLine(cover, why)));
    return lines;
  }
  if (by === 'ring') return ringLines(await readTakeoff(database, project, { conditions, by: null }));
  return groupLines(await readTakeoff(database, project, { conditions, by }));
}

const csvNames = {
  ring: 'ring',
  street: 'street',
  night: 'night',
  crew: 'crew',
  leftOut: 'cover left out',
} as const;

/** Lines by the hundred: a stream of single lines is slower than what it carries. */
function* inBlocks(lines: Iterable<string>): Generator<string> {
  let block: string[] = [];
  for (const line of lines) {
    block.push(line);
    if (block.length === 100) {
      yield block.join('');
      block = [];
    }
  }
  yield block.join('');
}
