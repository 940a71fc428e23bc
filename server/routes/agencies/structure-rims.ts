import Type from 'typebox';
import { type DatedRim, raisesOf, sinceLastMoved } from '#core/register/history.ts';
import { saySettlement } from '#core/register/overlayWords.ts';
import { settlementOf } from '#core/register/settlement.ts';
import type { SmallLengthStyle } from '#core/units/format.ts';
import { type SettlementTrend, StructureOutlook, StructureOutlookQuery } from '#shared/outlook.ts';
import { RimRecord, RimRecordCreate, RimRecordPage } from '#shared/rim-record.ts';
import { exact } from '#shared/schema.ts';
import { findChimneyLimit } from '../../chimney-limit.ts';
import type { App, AppContext } from '../../context.ts';
import { badField, notFound } from '../../http-problem.ts';
import { answerFor } from '../../overlay-outlook.ts';
import { levelRim } from '../../register.ts';
import { findOutlookStructure } from '../../store/overlay-outlook.ts';
import { findProjectHead } from '../../store/projects.ts';
import { listRimRecords } from '../../store/rim-records.ts';
import { findStructure } from '../../store/structures.ts';
import { NoQuery, problems, requireAgency } from '../common.ts';
import { styleOf } from './overlay-outlook.ts';

const StructureParams = exact({ agency: Type.String(), structure: Type.String() });
const path = '/agencies/:agency/structures/:structure';
const tags = ['register over the years'];

/** The overlay that is asked about where nobody says: 50 mm (2 in) and nothing milled. Common practice, no source. */
const usualThicknessM = 0.05;

export function structureRimRoutes(app: App, context: AppContext): void {
  rimRoutes(app, context);
  outlookRoute(app, context);
}

function rimRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;
  const schema = { tags, params: StructureParams, querystring: NoQuery };

  app.get(
    `${path}/rims`,
    { schema: { ...schema, response: { 200: RimRecordPage, ...problems } } },
    async (request) => {
      const { agency, structure } = request.params;
      if (!(await findStructure(kysely, agency, structure))) throw notFound(`structure "${structure}"`);
      return { items: await listRimRecords(kysely, agency, structure), next: null };
    },
  );

  app.post(
    `${path}/rims`,
    { schema: { ...schema, body: RimRecordCreate, response: { 201: RimRecord, ...problems } } },
    async (request, reply) => {
      const { agency, structure: id } = request.params;
      const { date } = request.body;
      if (date > new Date(Date.now() + dayAhead).toISOString().slice(0, 10))
        throw badField('/date', 'is not over yet', date);
      const record = await levelRim(context.database, agency, id, request.body);
      if (!record) throw notFound(`structure "${id}"`);
      reply.code(201);
      return record;
    },
  );
}

/** East of Greenwich a day begins up to 14 hours sooner. */
const dayAhead = 14 * 3_600_000;

function outlookRoute(app: App, context: AppContext): void {
  const { kysely } = context.database;

  app.get(
    `${path}/outlook`,
    {
      schema: {
        tags,
        params: StructureParams,
        querystring: StructureOutlookQuery,
        response: { 200: StructureOutlook, ...problems },
      },
    },
    async (request) => {
      const { agency: agencyId, structure: id } = request.params;
      const asked = request.query;
      const agency = await requireAgency(context, agencyId);
      const structure = await findOutlookStructure(kysely, agencyId, id);
      if (!structure) throw notFound(`structure "${id}"`);
      const project =
        asked.project === undefined ? null : await findProjectHead(kysely, agencyId, asked.project);
      if (asked.project !== undefined && !project)
        throw badField('/project', 'is no project of this agency', asked.project);
      const overlay = {
        thicknessM: asked.thicknessM ?? usualThicknessM,
        millM: asked.millM ?? 0,
        millClearanceM: asked.millClearanceM ?? project?.treatment.millClearanceM ?? 0,
      };
      const limit = await findChimneyLimit(kysely, agencyId, { project, askedM: asked.maxChimneyM });
      const style = styleOf(project?.displayUnit ?? agency.lengthDisplay);
      const records = await listRimRecords(kysely, agencyId, id);
      const rims = records.map(toDatedRim);
      const question = {
        overlay: {
          thickness: overlay.thicknessM,
          mill: overlay.millM,
          millClearance: overlay.millClearanceM,
        },
        limit,
        style,
      };
      return {
        structureId: id,
        records,
        raises: raisesOf(rims).map(({ by, ...raise }) => ({ ...raise, byM: by })),
        limit,
        overlay,
        next: answerFor(structure, question),
        trend: trendOf(rims, style),
      };
    },
  );
}

function toDatedRim(record: RimRecord): DatedRim {
  return {
    date: record.date,
    rim: record.rimElevationM,
    pavement: record.pavementElevationM,
    seat: record.seatElevationM,
    frameHeight: record.frameHeightM,
    note: record.note,
  };
}

function trendOf(rims: readonly DatedRim[], style: SmallLengthStyle): SettlementTrend {
  const settlement = settlementOf(sinceLastMoved(rims));
  return {
    epochs: settlement.epochs,
    ratePerYearM: settlement.trend?.rate ?? null,
    sigmaPerYearM: settlement.trend?.sigma ?? null,
    text: saySettlement(settlement, style),
  };
}
