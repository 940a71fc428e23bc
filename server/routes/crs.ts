import { CrsList, CrsQuery } from '#shared/crs.ts';
import type { App } from '../context.ts';
import { findCrs } from '../crs/epsg.ts';
import { searchCrs } from '../crs/search.ts';
import { problems } from './common.ts';

/** Systems that a project can lie in, by code or by words; those that cannot be worked in are left out. */
export function crsRoutes(app: App): void {
  app.get(
    '/crs',
    { schema: { tags: ['system'], querystring: CrsQuery, response: { 200: CrsList, ...problems } } },
    async (request) => ({
      items: searchCrs(request.query.q).flatMap(({ code, name, area, unitName }) =>
        'message' in findCrs(`EPSG:${code}`) ? [] : [{ code: `EPSG:${code}`, name, area, unitName }],
      ),
    }),
  );
}
