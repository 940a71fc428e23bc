import Type from 'typebox';
import { CoverTileQuery } from '#shared/cover.ts';
import { OverlayTileQuery } from '#shared/outlook.ts';
import { exact } from '#shared/schema.ts';
import type { App, AppContext } from '../../context.ts';
import { readConditions } from '../../cover-list.ts';
import { makeAnswerTile } from '../../tiles/answers.ts';
import { makeChosenTile } from '../../tiles/chosen.ts';
import { sendMadeTile } from '../../tiles/send.ts';
import { AgencyParams, ProjectParams, problems, requireProject } from '../common.ts';
import { readAddress } from '../tiles/address.ts';
import { readQuestion, toBody } from './overlay-outlook.ts';

const place = { z: Type.String(), x: Type.String(), y: Type.String() };
const ProjectTileParams = exact({ ...ProjectParams.properties, ...place });
const AgencyTileParams = exact({ ...AgencyParams.properties, ...place });

const response = { 200: Type.Any(), 204: Type.Null(), 304: Type.Null(), ...problems };
const tags = ['tiles'];
/** Requests a minute from one address: a map that is moved asks for a dozen at once. */
const config = { rateLimit: { max: 12_000, timeWindow: '1 minute' } };

/** Tiles of what a list or a question has chosen, with the zooms and layers of the tiles of all covers. */
export function madeTileRoutes(app: App, context: AppContext): void {
  app.get(
    '/agencies/:agency/projects/:project/covers/tiles/:z/:x/:y.mvt',
    {
      config,
      schema: {
        tags,
        description: 'The covers that the same filters leave of the list, as a vector tile.',
        params: ProjectTileParams,
        querystring: CoverTileQuery,
        response,
      },
    },
    async (request, reply) => {
      const address = readAddress(request.params);
      const conditions = readConditions(request.query);
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      const key = { agencyId, projectId };
      const tile = await makeChosenTile(context.database, key, { conditions, address });
      return sendMadeTile(request, reply, tile);
    },
  );

  app.get(
    '/agencies/:agency/overlay-outlook/tiles/:z/:x/:y.mvt',
    {
      config,
      schema: {
        tags,
        description: 'All that the same question answers, as a vector tile: `id`, `answer`, `left`.',
        params: AgencyTileParams,
        querystring: OverlayTileQuery,
        response,
      },
    },
    async (request, reply) => {
      const address = readAddress(request.params);
      const question = await readQuestion(context, request.params.agency, toBody(request.query));
      return sendMadeTile(request, reply, await makeAnswerTile(context.database, question, address));
    },
  );
}
