import { pipeline } from 'node:stream/promises';
import type { TransactionSql } from 'postgres';
import type { Shot } from '#core/surface/types.ts';
import { cellOf } from '../cell.ts';
import type { Database } from '../database.ts';
import type { Counts } from './batches.ts';

export interface ShotImport {
  agencyId: string;
  projectId: string;
  surface: { id: string; name: string; stage: string; method: string | null };
  shots: readonly Shot[];
  batch: { id: string; fileName: string; sha256: string; refusedRows: number };
}

/** Thrown to undo a preview's work: it goes the same way as a store, so that both count alike. */
class Preview extends Error {}

/**
 * Lays shots beside those of the surface and counts the new, changed and same ones; stores them unless it is a
 * preview. One transaction: all of it or nothing. Shots go in by COPY, as a city's survey has millions.
 */
export async function importShots(
  database: Database,
  given: ShotImport,
  mode: 'preview' | 'store',
): Promise<Counts> {
  let counts: Counts = { new: 0, changed: 0, same: 0 };
  try {
    await database.sql.begin(async (transaction) => {
      counts = await stageAndCount(transaction, given);
      if (mode === 'preview') throw new Preview();
      if (counts.new + counts.changed > 0) await store(transaction, given, counts);
    });
  } catch (error) {
    if (!(error instanceof Preview)) throw error;
  }
  return counts;
}

async function stageAndCount(sql: TransactionSql, given: ShotImport): Promise<Counts> {
  const { agencyId, projectId, surface } = given;
  // Two imports into one project come one after the other.
  await sql`select 1 from projects where agency_id = ${agencyId} and project_id = ${projectId} for update`;
  await sql`
    create temporary table staged_shots (
      point text, ordinal integer, easting_m double precision, northing_m double precision,
      elevation_m double precision, code text, role text, sigma_m double precision, cell bigint
    ) on commit drop`;
  const copy = await sql`copy staged_shots from stdin`.writable();
  await pipeline(copyLines(given.shots), copy);
  const [counts] = await sql<[Counts]>`
    select
      count(*) filter (where shots.point is null)::integer as new,
      count(*) filter (where shots.point is not null and ${differs(sql)})::integer as changed,
      count(*) filter (where shots.point is not null and not ${differs(sql)})::integer as same
    from staged_shots as staged
    left join shots on shots.agency_id = ${agencyId} and shots.project_id = ${projectId}
      and shots.surface_id = ${surface.id} and shots.point = staged.point and shots.ordinal = staged.ordinal`;
  return counts;
}

function differs(sql: TransactionSql) {
  return sql`((shots.easting_m, shots.northing_m, shots.elevation_m, shots.code, shots.role, shots.sigma_m)
    is distinct from
    (staged.easting_m, staged.northing_m, staged.elevation_m, staged.code, staged.role, staged.sigma_m))`;
}

async function store(sql: TransactionSql, given: ShotImport, counts: Counts): Promise<void> {
  const { agencyId, projectId, surface, batch } = given;
  await sql`
    insert into surfaces (agency_id, project_id, surface_id, name, stage, method)
    values (${agencyId}, ${projectId}, ${surface.id}, ${surface.name}, ${surface.stage}, ${surface.method})
    on conflict do nothing`;
  await sql`
    insert into shots as shots (agency_id, project_id, surface_id, point, ordinal, easting_m, northing_m,
      elevation_m, code, role, sigma_m, cell, import_batch_id)
    select ${agencyId}, ${projectId}, ${surface.id}, point, ordinal, easting_m, northing_m,
      elevation_m, code, role, sigma_m, cell, ${batch.id}::uuid
    from staged_shots
    on conflict (agency_id, project_id, surface_id, point, ordinal) do update set
      easting_m = excluded.easting_m, northing_m = excluded.northing_m, elevation_m = excluded.elevation_m,
      code = excluded.code, role = excluded.role, sigma_m = excluded.sigma_m, cell = excluded.cell,
      import_batch_id = excluded.import_batch_id
    where (shots.easting_m, shots.northing_m, shots.elevation_m, shots.code, shots.role, shots.sigma_m)
      is distinct from (excluded.easting_m, excluded.northing_m, excluded.elevation_m, excluded.code,
      excluded.role, excluded.sigma_m)`;
  await sql`
    insert into import_batches (agency_id, import_batch_id, project_id, kind, file_name, file_sha256, new_rows,
      changed_rows, same_rows, refused_rows)
    values (${agencyId}, ${batch.id}, ${projectId}, 'shots', ${batch.fileName}, ${batch.sha256}, ${counts.new},
      ${counts.changed}, ${counts.same}, ${batch.refusedRows})`;
  await sql`
    update projects set input_revision = input_revision + 1
    where agency_id = ${agencyId} and project_id = ${projectId}`;
}

const chunkLength = 64 * 1024;

/** Shots as COPY's text format; those of one name are told apart by their order. */
function* copyLines(shots: readonly Shot[]): Generator<string> {
  const seen = new Map<string, number>();
  let chunk = '';
  for (const { point, east, north, elevation, code, role, sigma } of shots) {
    const ordinal = seen.get(point) ?? 0;
    seen.set(point, ordinal + 1);
    const numbers = [east, north, elevation].join('\t');
    const sigmaText = sigma === null ? '\\N' : String(sigma);
    chunk += `${escapeText(point)}\t${ordinal}\t${numbers}\t${escapeText(code)}\t${role}\t${sigmaText}\t${cellOf(east, north)}\n`;
    if (chunk.length < chunkLength) continue;
    yield chunk;
    chunk = '';
  }
  if (chunk) yield chunk;
}

const escapes: Readonly<Record<string, string>> = { '\\': '\\\\', '\t': '\\t', '\n': '\\n', '\r': '\\r' };

function escapeText(text: string): string {
  return text.replace(/[\\\t\n\r]/g, (character) => escapes[character]);
}
