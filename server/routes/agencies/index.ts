import { Agency, AgencyList, AgencyPatch } from '#shared/agency.ts';
import { agencyTag, changeAgencyPolicy } from '../../agency-policy.ts';
import { checkChimneyLimit } from '../../chimney-limit.ts';
import type { App, AppContext } from '../../context.ts';
import { checkZone } from '../../site-limits.ts';
import { listAgencies } from '../../store/agencies.ts';
import { listRingCatalogues } from '../../store/ring-catalogues.ts';
import {
  AgencyParams,
  changedMeanwhile,
  checkIfMatch,
  etagOf,
  NoQuery,
  problems,
  requireAgency,
} from '../common.ts';

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
    async (request, reply) => {
      const agency = await requireAgency(context, request.params.agency);
      reply.header('etag', etagOf(agencyTag(agency)));
      return agency;
    },
  );

  app.patch(
    '/agencies/:agency',
    {
      schema: {
        tags: ['agencies'],
        params: AgencyParams,
        querystring: NoQuery,
        body: AgencyPatch,
        response: { 200: Agency, ...problems },
      },
    },
    async (request, reply) => {
      const before = await requireAgency(context, request.params.agency);
      checkIfMatch(request.headers['if-match'], agencyTag(before));
      const { policy } = request.body;
      checkZone(policy);
      if (policy.maxChimneyM != null)
        checkChimneyLimit(await listRingCatalogues(context.database.kysely, before.id), policy.maxChimneyM);
      const after = await changeAgencyPolicy(context.database, before, policy);
      if (!after) throw changedMeanwhile();
      reply.header('etag', etagOf(agencyTag(after)));
      return after;
    },
  );
}
