import { StreetCollection } from '#shared/street.ts';
import type { App, AppContext } from '../../context.ts';
import { listStreets, toGeoJson } from '../../store/streets.ts';
import { AgencyParams, NoQuery, problems, requireAgency } from '../common.ts';

export function streetRoutes(app: App, context: AppContext): void {
  app.get(
    '/agencies/:agency/streets',
    {
      schema: {
        tags: ['streets'],
        params: AgencyParams,
        querystring: NoQuery,
        response: { 200: StreetCollection, ...problems },
      },
    },
    async (request, reply) => {
      const agency = await requireAgency(context, request.params.agency);
      reply.type('application/geo+json');
      return toGeoJson(await listStreets(context.database.kysely, agency.id));
    },
  );
}
