import type { FastifyRequest } from 'fastify';
import Type from 'typebox';
import { AcceptancePaperQuery, Night, NightPaperQuery, PaperQuery } from '#shared/paper.ts';
import { exact, type Static } from '#shared/schema.ts';
import type { App, AppContext } from '../../../context.ts';
import { notFound } from '../../../http-problem.ts';
import { type Gathering, startGathering } from '../../../paper/gather.ts';
import { ringTotals, sealantLines } from '../../../paper/list/kit.ts';
import { listPages } from '../../../paper/list/list.ts';
import {
  nightWords,
  readForList,
  readForSheets,
  readNight,
  readOne,
  type Stop,
} from '../../../paper/night.ts';
import { gatherPack } from '../../../paper/pack/gather.ts';
import { packLimits } from '../../../paper/pack/limits.ts';
import { packPages } from '../../../paper/pack/pack.ts';
import { type PaperSize, usualPaper } from '../../../paper/paperSize.ts';
import type { DrawPages } from '../../../paper/print.ts';
import { sendPages } from '../../../paper/send.ts';
import { drawSheet } from '../../../paper/sheet/sheet.ts';
import type { SheetSetting } from '../../../paper/sheet/types.ts';
import { paperUnits } from '../../../paper/units.ts';
import { ProjectParams, problems, requireAgency, requireProject } from '../../common.ts';

const CoverParams = exact({ ...ProjectParams.properties, structure: Type.String() });
const NightParams = exact({ ...ProjectParams.properties, night: Night });

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
      const covers = await readForList(gathering, stops);
      const kit = {
        rings: ringTotals(covers),
        sealant: sealantLines(covers, gathering.project.limits),
      };
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

  app.get(
    `${path}/acceptance.pdf`,
    { schema: { ...schema, params: ProjectParams, querystring: AcceptancePaperQuery } },
    async (request, reply) => {
      const { street } = request.query;
      const { gathering, setting, size } = await openPaper(context, request, {
        ...request.params,
        ...request.query,
      });
      const pack = await gatherPack(gathering, street, setting.units);
      const title = `Acceptance pack ${street}`;
      const options = { name: title, title, size, printedAt: setting.printedAt };
      const limits = packLimits(gathering.project.limits, setting.units);
      return sendPages(reply, options, packPages(pack.lines, pack.covers, { ...setting, street, limits }));
    },
  );
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
      twoPersonsKg: project.limits.twoPersonsKg.value,
      printedAt: new Date(),
    },
    size: paper ?? usualPaper(agency),
  };
}

async function* sheetPages(
  gathering: Gathering,
  stops: readonly Stop[],
  setting: SheetSetting,
): AsyncGenerator<DrawPages> {
  for await (const cover of readForSheets(gathering, stops))
    yield (paper) => drawSheet(paper, cover, setting);
}

async function* later(pages: Iterable<DrawPages>): AsyncGenerator<DrawPages> {
  yield* pages;
}
