import type { AnyMade } from '#core/field/facts.ts';
import {
  FieldRecordBatch,
  FieldRecordPage,
  FieldRecordQuery,
  FieldRecordReceipt,
} from '#shared/field-record.ts';
import type { App, AppContext } from '../../../context.ts';
import { receiveRecords } from '../../../field/receive.ts';
import { badField, notFound } from '../../../http-problem.ts';
import { decodeKey, nextAddress } from '../../../paging.ts';
import { listRecords } from '../../../store/field/records.ts';
import { NoQuery, ProjectParams, problems, requireProject } from '../../common.ts';

/** Two hundred records, each with the stack of a truck. */
const largestBatch = 4 * 2 ** 20;

/** What phones and desks record of covers: sent as often as need be, kept once. */
export function fieldRecordRoutes(app: App, context: AppContext): void {
  const path = '/agencies/:agency/projects/:project/field-records';
  const tags = ['field'];

  app.post(
    path,
    {
      bodyLimit: largestBatch,
      schema: {
        tags,
        params: ProjectParams,
        querystring: NoQuery,
        body: FieldRecordBatch,
        response: { 200: FieldRecordReceipt, ...problems },
      },
    },
    async (request) => {
      const project = await requireProject(context, request.params);
      const records = request.body.records as unknown as AnyMade[];
      const receipt = await receiveRecords(context.database, project, records);
      if (!receipt) throw notFound(`project "${project.id}"`);
      return receipt;
    },
  );

  app.get(
    path,
    {
      schema: {
        tags,
        params: ProjectParams,
        querystring: FieldRecordQuery,
        response: { 200: FieldRecordPage, ...problems },
      },
    },
    async (request) => {
      const { agencyId, id: projectId } = await requireProject(context, request.params);
      const { after, since = 0, structure, limit = 500 } = request.query;
      const from = after === undefined ? since : Math.max(since, readSeq(after));
      const { items, last } = await listRecords(
        context.database.kysely,
        { agencyId, projectId },
        { since: from, structure, limit },
      );
      return { items, next: nextAddress(request.url, last === null ? null : [last]) } as never;
    },
  );
}

function readSeq(after: string): number {
  const [seq] = decodeKey(after, ['number']);
  if (!Number.isSafeInteger(seq)) throw badField('/after', 'is not a place that a page ended at', after);
  return seq;
}
