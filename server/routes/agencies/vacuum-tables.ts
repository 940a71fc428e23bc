import Type from 'typebox';
import { checkTable } from '#core/seal/checkTable.ts';
import { sayTableQuestion } from '#core/seal/words.ts';
import { exact } from '#shared/schema.ts';
import { VacuumTable, VacuumTableKept, VacuumTableList } from '#shared/vacuum-table.ts';
import type { App, AppContext } from '../../context.ts';
import { badField, HttpProblem, notFound } from '../../http-problem.ts';
import {
  findVacuumTable,
  listVacuumTables,
  putVacuumTable,
  removeVacuumTable,
} from '../../store/field/vacuum-tables.ts';
import { AgencyParams, NoQuery, problems, requireAgency } from '../common.ts';

const TableParams = exact({ agency: Type.String(), table: Type.String() });

/** An agency's own vacuum tests, as they are printed. */
export function vacuumTableRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;
  const path = '/agencies/:agency/vacuum-tables';
  const tags = ['field'];
  const schema = { tags, params: TableParams, querystring: NoQuery };

  app.get(
    path,
    {
      schema: {
        tags,
        params: AgencyParams,
        querystring: NoQuery,
        response: { 200: VacuumTableList, ...problems },
      },
    },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      return { items: await listVacuumTables(kysely, agency.id) };
    },
  );

  app.get(
    `${path}/:table`,
    { schema: { ...schema, response: { 200: VacuumTable, ...problems } } },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      const found = await findVacuumTable(kysely, agency.id, request.params.table);
      if (!found) throw notFound(`vacuum table "${request.params.table}"`);
      return found;
    },
  );

  app.put(
    `${path}/:table`,
    { schema: { ...schema, body: VacuumTable, response: { 200: VacuumTableKept, ...problems } } },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      const table = request.body;
      if (table.id !== request.params.table) throw badField('/id', 'is not the one of the address', table.id);
      if (!(table.endInHg < table.startInHg && table.startInHg <= table.drawInHg))
        throw badField('/startInHg', 'must lie above endInHg and not above drawInHg', table.startInHg);
      const turned = table.rows.findIndex(({ depth }) => depth?.to != null && depth.to < depth.from);
      if (turned >= 0) throw badField(`/rows/${turned}/depth/to`, 'lies above `from`');
      await putVacuumTable(kysely, agency.id, table);
      const questions = checkTable(table).map((question) => ({
        code: question.code,
        text: sayTableQuestion(question, table),
      }));
      return { ...table, questions };
    },
  );

  app.delete(
    `${path}/:table`,
    { schema: { ...schema, response: { 204: Type.Null(), ...problems } } },
    async (request, reply) => {
      const agency = await requireAgency(context, request.params.agency);
      const { table } = request.params;
      if (agency.policy.vacuumTableId === table)
        throw new HttpProblem(409, 'The agency tests by this table: choose another one first.');
      if (!(await removeVacuumTable(kysely, agency.id, table))) throw notFound(`vacuum table "${table}"`);
      reply.code(204);
      return null;
    },
  );
}
