import { Agency, AgencyList } from '#shared/agency.ts';
import type { App, AppContext } from '../../context.ts';
import { listAgencies } from '../../store/agencies.ts';
import { AgencyParams, NoQuery, problems, requireAgency } from '../common.ts';

export function agencyRoutes(app: App, context: AppContext): void {
  app.get(
    '/agencies',
    { schema: { tags: ['agencies'], querystring: NoQuery, response: { 200: AgencyList, ...problems } } },
    async () => ({ items: await listAgencies(context.database.kysely) }),
  );

  app.get(
    '/agencies/:agency',
    {
      schema: {
        tags: ['agencies'],
        params: AgencyParams,
        querystring: NoQuery,
        response: { 200: Agency, ...problems },
      },
    },
    async (request) => requireAgency(context, request.params.agency),
  );
}
