import { type Kysely, type RawBuilder, sql } from 'kysely';
import type { AnyKept } from '#core/field/facts.ts';
import type { PlanningStatus } from '#core/plan/types.ts';
import type { PlacedRing } from '#core/stack/types.ts';
import type { TakeoffCover } from '#core/supply/countCover.ts';
import { type FieldStack, fieldStackOf, stackKinds } from '#core/supply/fieldStack.ts';
import type { FieldStatus } from '#shared/status.ts';
import { copyOut } from '../copyOut.ts';
import { inlined } from '../inlined.ts';
import { type CoverConditions, conditionsOf } from '../selection.ts';
import type { Tables } from '../tables.ts';
import { findProjectRevision } from '../tiles/summary.ts';
import type { Transaction } from '../transaction.ts';

interface ProjectKey {
  agencyId: string;
  projectId: string;
}

/** A cover of a takeoff with what it may be summed up by. */
export interface CoverToCount extends TakeoffCover {
  id: string;
  street: string | null;
  /** YYYY-MM-DD */
  night: string | null;
  crew: string | null;
}

/** A text that is another after every change to covers, their plan, their records or whom they are given to. */
export async function findTakeoffToken(
  db: Kysely<Tables>,
  { agencyId, projectId }: ProjectKey,
): Promise<string> {
  const [revision, { rows }] = await Promise.all([
    findProjectRevision(db, { agencyId, projectId }),
    sql<{ token: string }>`
      select concat_ws(' ', plan_revision, input_revision, planned_input_revision, field_seq, (
        select count(*) + count(undone_at) from cover_assignments
        where agency_id = ${agencyId} and project_id = ${projectId})) as token
      from projects where agency_id = ${agencyId} and project_id = ${projectId}`.execute(db),
  ]);
  return `${revision} ${rows[0].token}`;
}

/**
 * Hands every cover that meets the conditions to `take`, in no order, with the rings of the plan in force and what its
 * records from the field say of them. What is read at once is the records that name rings; covers come one by one.
 */
export async function eachCoverToCount(
  transaction: Transaction,
  key: ProjectKey,
  conditions: CoverConditions,
  take: (cover: CoverToCount) => void,
): Promise<void> {
  const asked = askedFor(key, conditions);
  const stacks = await readFieldStacks(transaction, key, asked);
  const rings = new Map<string, readonly string[]>();
  const stack = await stackText(transaction.db, key.agencyId);
  const select = sql`
    select cover.structure_id, structure.street, cover.night::text, cover.crew, cover.status, cover.field_status,
      cover.plan_stale, structure.adjustment = 'telescoping',
      case when cover.status in ('raise', 'lower') and cover.worst_m is not null then ${stack} end
    ${asked.from}
    left join plan_covers as plan on plan.agency_id = ${key.agencyId} and plan.project_id = ${key.projectId}
      and plan.structure_id = cover.structure_id and plan.revision = cover.plan_revision
    where ${asked.where}`;
  await copyOut(transaction.sql, inlined(transaction.db, select), (row) => {
    const id = row.text();
    take({
      id,
      street: row.textOrNull(),
      night: row.textOrNull(),
      crew: row.textOrNull(),
      status: row.textOrNull() as PlanningStatus | null,
      fieldStatus: row.textOrNull() as FieldStatus | null,
      isStale: row.boolOrNull() === true,
      telescoping: row.boolOrNull() === true,
      planned: ringsOf(row.textOrNull(), rings),
      field: stacks.get(id) ?? nothing,
    });
  });
}

/**
 * The stack of a plan as JSON. Parsing the whole outcome for it takes the database longer than all else together, so it is
 * cut out of the text: no other "stack" is written before the plan's own (the runner-up's follows), and the quotes of a
 * text in it would be escaped. Where a ring's id itself has the bracket that the cut ends at, it is parsed all the same.
 */
async function stackText(db: Kysely<Tables>, agencyId: string): Promise<RawBuilder<string>> {
  const { rows } = await sql`
    select from rings where agency_id = ${agencyId} and strpos(ring_id, ']') > 0 limit 1`.execute(db);
  if (rows.length > 0) return sql`(plan.outcome -> 'stack')::text`;
  return sql`split_part(split_part(plan.outcome::text, '"stack":', 2), ']', 1) || ']'`;
}

/** Ids of a stack as it is written in a plan; the same list for all covers that have the same rings. */
function ringsOf(text: string | null, known: Map<string, readonly string[]>): readonly string[] | null {
  if (text === null) return null;
  const ids = (JSON.parse(text) as PlacedRing[]).map(({ ring }) => ring);
  const name = ids.join('\n');
  const found = known.get(name);
  if (found === undefined) known.set(name, ids);
  return found ?? ids;
}

const nothing: FieldStack = { rings: null, contradicts: false };

interface Asked {
  from: RawBuilder<unknown>;
  where: RawBuilder<boolean>;
}

function askedFor({ agencyId, projectId }: ProjectKey, conditions: CoverConditions): Asked {
  return {
    from: sql`from project_covers as cover
      join structures as structure on structure.agency_id = cover.agency_id
        and structure.structure_id = cover.structure_id`,
    where: sql`cover.agency_id = ${agencyId} and cover.project_id = ${projectId}
      and structure.agency_id = ${agencyId} and ${conditionsOf(conditions)}`,
  };
}

async function readFieldStacks(
  { db, sql: connection }: Transaction,
  { agencyId, projectId }: ProjectKey,
  { from, where }: Asked,
): Promise<Map<string, FieldStack>> {
  const stacks = new Map<string, FieldStack>();
  let id = '';
  let records: AnyKept[] = [];
  const close = () => {
    if (records.length > 0) stacks.set(id, fieldStackOf(records));
    records = [];
  };
  const kinds = sql.join(stackKinds.map((kind) => sql.lit(kind)));
  const select = sql`
    select record.structure_id, record.record_id::text, record.kind, record.facts::text, record.device::text,
      record.seen, record.seq
    ${from}
    join field_records as record on record.agency_id = ${agencyId} and record.project_id = ${projectId}
      and record.structure_id = cover.structure_id
    where ${where} and cover.field_seq is not null and record.kind in (${kinds})
    order by record.structure_id, record.seq`;
  await copyOut(connection, inlined(db, select), (row) => {
    const cover = row.text();
    if (cover !== id) close();
    id = cover;
    records.push({
      id: row.text(),
      kind: row.text(),
      facts: JSON.parse(row.text()),
      device: row.text(),
      seen: row.bigOrNull(),
      seq: row.bigOrNull(),
    } as AnyKept);
  });
  close();
  return stacks;
}
