import type { Kysely } from 'kysely';
import type { ImportAnswers, ShotUse } from '#shared/staged-import.ts';
import { inChunks } from '../list.ts';
import type { Tables } from '../tables.ts';

export interface Memory {
  fileName: string;
  at: string;
  answers: ImportAnswers;
}

/** What was said of columns of a file with these headings; null where none was stored yet. */
export async function findMemory(
  db: Kysely<Tables>,
  agencyId: string,
  fingerprint: string,
): Promise<Memory | null> {
  const row = await db
    .selectFrom('import_memories')
    .selectAll()
    .where('agency_id', '=', agencyId)
    .where('fingerprint', '=', fingerprint)
    .executeTakeFirst();
  return row ? { fileName: row.file_name, at: row.updated_at.toISOString(), answers: row.answers } : null;
}

export async function remember(
  db: Kysely<Tables>,
  agencyId: string,
  { fingerprint, fileName, answers }: { fingerprint: string; fileName: string; answers: ImportAnswers },
): Promise<void> {
  await db
    .insertInto('import_memories')
    .values({ agency_id: agencyId, fingerprint, file_name: fileName, answers })
    .onConflict((conflict) =>
      conflict
        .columns(['agency_id', 'fingerprint'])
        .doUpdateSet({ file_name: fileName, answers, updated_at: new Date() }),
    )
    .execute();
}

/** What the agency's codes stand for, as it last said. */
export async function loadCodeMap(db: Kysely<Tables>, agencyId: string): Promise<Map<string, ShotUse>> {
  const rows = await db
    .selectFrom('code_maps')
    .select(['code', 'role'])
    .where('agency_id', '=', agencyId)
    .execute();
  return new Map(rows.map(({ code, role }) => [code, role]));
}

export async function rememberCodes(
  db: Kysely<Tables>,
  agencyId: string,
  { codes, fileName }: { codes: ReadonlyMap<string, ShotUse>; fileName: string },
): Promise<void> {
  for (const chunk of inChunks([...codes])) {
    const rows = chunk.map(([code, role]) => ({ agency_id: agencyId, code, role, file_name: fileName }));
    await db
      .insertInto('code_maps')
      .values(rows)
      .onConflict((conflict) =>
        conflict.columns(['agency_id', 'code']).doUpdateSet((eb) => ({
          role: eb.ref('excluded.role'),
          file_name: eb.ref('excluded.file_name'),
          updated_at: new Date(),
        })),
      )
      .execute();
  }
}
