import { SearchQuery, SearchResult } from '#shared/search.ts';
import type { App, AppContext } from '../../context.ts';
import { badField } from '../../http-problem.ts';
import { searchOwners, searchStreets, searchStructures } from '../../store/search.ts';
import { AgencyParams, problems, requireAgency } from '../common.ts';

/** Finds structures, streets and owners over the whole register, whatever project they are in. */
export function searchRoutes(app: App, context: AppContext): void {
  const { kysely } = context.database;

  app.get(
    '/agencies/:agency/search',
    {
      schema: {
        tags: ['structures'],
        params: AgencyParams,
        querystring: SearchQuery,
        response: { 200: SearchResult, ...problems },
      },
    },
    async (request) => {
      const agency = await requireAgency(context, request.params.agency);
      const { q, limit = 20 } = request.query;
      const text = q.trim();
      if (text === '') throw badField('/q', 'is blank', q);
      const [streets, owners] = await Promise.all([
        searchStreets(kysely, agency.id, { text, limit: Math.min(limit, 10) }),
        searchOwners(kysely, agency.id, { text, limit: Math.min(limit, 10) }),
      ]);
      const isName = streets.length + owners.length > 0;
      const { items, more } = await searchStructures(kysely, agency.id, { text, limit, isName });
      return { structures: items, streets, owners, more };
    },
  );
}
