import { Readable } from 'node:stream';
import type { FastifyReply } from 'fastify';
import type { SmallLengthStyle } from '#core/units/format.ts';
import { OverlayBody, OverlayPage, OverlayQuery } from '#shared/outlook.ts';
import { readArea, readCorners } from '../../area.ts';
import { findChimneyLimit } from '../../chimney-limit.ts';
import type { App, AppContext } from '../../context.ts';
import { badField } from '../../http-problem.ts';
import { countAnswers, listAnswers, type OutlookQuestion } from '../../overlay-outlook.ts';
import { decodeKey, encodeKey, nextAddress } from '../../paging.ts';
import { csvLine } from '../../staging/refused.ts';
import { findProjectHead } from '../../store/projects.ts';
import { AgencyParams, NoQuery, problems, requireAgency } from '../common.ts';

const path = '/agencies/:agency/overlay-outlook';
const tags = ['register over the years'];
const usualLimit = 500;

/** Which structures can take the next overlay: by streets in an address, by a drawn area in a body. */
export function overlayOutlookRoutes(app: App, context: AppContext): void {
  const get = { tags, params: AgencyParams, querystring: OverlayQuery };
  const post = { tags, params: AgencyParams, querystring: NoQuery, body: OverlayBody };
  const page = { response: { 200: OverlayPage, ...problems } };
  const csv = { produces: ['text/csv'], response: problems };

  app.get(path, { schema: { ...get, ...page } }, async (request) => {
    const question = await readQuestion(context, request.params.agency, toBody(request.query));
    const { next, ...answered } = await answerPage(context, question, request.query);
    return { ...answered, next: nextAddress(request.url, next === null ? null : [next]) };
  });

  app.post(path, { schema: { ...post, ...page } }, async (request) => {
    const question = await readQuestion(context, request.params.agency, request.body);
    const { next, ...answered } = await answerPage(context, question, request.body);
    return { ...answered, next: next === null ? null : encodeKey([next]) };
  });

  app.get(`${path}.csv`, { schema: { ...get, ...csv } }, async (request, reply) =>
    sendCsv(context, reply, await readQuestion(context, request.params.agency, toBody(request.query))),
  );

  app.post(`${path}.csv`, { schema: { ...post, ...csv } }, async (request, reply) =>
    sendCsv(context, reply, await readQuestion(context, request.params.agency, request.body)),
  );
}

export function toBody({ street, polygon, ...rest }: Omit<OverlayQuery, 'after' | 'limit'>): OverlayBody & {
  corners?: string;
} {
  const streets = street === undefined ? undefined : typeof street === 'string' ? [street] : street;
  return { ...rest, streets, corners: polygon };
}

export async function readQuestion(
  context: AppContext,
  agencyId: string,
  asked: OverlayBody & { corners?: string },
): Promise<OutlookQuestion> {
  const { kysely } = context.database;
  const agency = await requireAgency(context, agencyId);
  const project =
    asked.project === undefined ? null : await findProjectHead(kysely, agency.id, asked.project);
  if (asked.project !== undefined && !project)
    throw badField('/project', 'is no project of this agency', asked.project);
  const drawn = asked.polygon ? readArea(asked.polygon, '/polygon') : null;
  return {
    scope: {
      agencyId: agency.id,
      projectId: project?.id ?? null,
      streets: asked.streets ?? null,
      area: asked.corners === undefined ? drawn : readCorners(asked.corners, '/polygon'),
    },
    overlay: {
      thickness: asked.thicknessM,
      mill: asked.millM ?? 0,
      millClearance: asked.millClearanceM ?? project?.treatment.millClearanceM ?? 0,
    },
    limit: await findChimneyLimit(kysely, agency.id, { project, askedM: asked.maxChimneyM }),
    style: styleOf(project?.displayUnit ?? agency.lengthDisplay),
    answer: asked.answer ?? null,
  };
}

export const styleOf = (unit: 'in' | 'mm'): SmallLengthStyle =>
  unit === 'mm' ? 'millimetres' : 'decimalInches';

async function answerPage(
  { database }: AppContext,
  question: OutlookQuestion,
  { after, limit = usualLimit }: { after?: string; limit?: number },
) {
  const from = after === undefined ? null : decodeKey(after, ['string'])[0];
  const [{ items, last }, counted] = await Promise.all([
    listAnswers(database, question, { after: from, limit }),
    countAnswers(database, question),
  ]);
  const { thickness, mill, millClearance } = question.overlay;
  const overlay = { thicknessM: thickness, millM: mill, millClearanceM: millClearance };
  return { overlay, limit: question.limit, ...counted, items, next: last };
}

const byteOrderMark = '\uFEFF';
const csvPage = 5000;

function sendCsv({ database }: AppContext, reply: FastifyReply, question: OutlookQuestion) {
  async function* lines(): AsyncGenerator<string> {
    yield `${byteOrderMark}${csvLine(csvHeadings)}`;
    for (let after: string | null = null; ; ) {
      const { items, last } = await listAnswers(database, question, { after, limit: csvPage });
      yield items.map(toCsv).join('');
      if (last === null) return;
      after = last;
    }
  }
  reply.header('content-disposition', 'attachment; filename="overlay outlook.csv"');
  return reply.type('text/csv; charset=utf-8').send(Readable.from(lines()) as never);
}

const csvHeadings = [
  'id',
  'kind',
  'owner',
  'street',
  'longitude',
  'latitude',
  'answer',
  'reason',
  'buildup_m',
  'remaining_m',
  'after_m',
  'overlays_left',
];

function toCsv(row: OverlayPage['items'][number]): string {
  const millimetres = (value: number | null) => (value === null ? '' : value.toFixed(4));
  return csvLine([
    row.id,
    row.kind,
    row.owner ?? '',
    row.street ?? '',
    row.lon.toFixed(7),
    row.lat.toFixed(7),
    row.answer,
    row.text,
    millimetres(row.buildupM),
    millimetres(row.remainingM),
    millimetres(row.afterM),
    row.overlaysLeft === null ? '' : String(row.overlaysLeft),
  ]);
}
