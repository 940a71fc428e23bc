import type { AppContext } from '../context.ts';
import { clearKeptUntil, findImportIds, listOutdatedImports, moveImport } from '../store/staging/batches.ts';

type Context = Pick<AppContext, 'database' | 'uploads'>;

const hourMs = 3_600_000;

/** Throws away, every hour, what is past its day. */
export function sweepUploads(context: Context, log: (error: unknown) => void): { stop: () => void } {
  const sweep = () => void sweepOnce(context, new Date()).catch(log);
  const timer = setInterval(sweep, hourMs);
  timer.unref();
  sweep();
  return { stop: () => clearInterval(timer) };
}

/** Imports that nobody stored by the day they were kept until are discarded; lists of stored ones go with it. */
export async function sweepOnce({ database, uploads }: Context, now: Date): Promise<void> {
  const db = database.kysely;
  for (const record of await listOutdatedImports(db, now)) {
    const days = Math.round((now.getTime() - record.updatedAt.getTime()) / 86_400_000);
    const said = `Discarded: nobody stored it within ${days} days; nothing was stored`;
    const from = ['uploading', 'uploaded', 'ready', 'failed'] as const;
    await moveImport(db, record, { from }, { state: 'discarded', said, keptUntil: null });
    await clearKeptUntil(db, record);
    await uploads.remove(record.importId);
  }
  await removeOrphans({ database, uploads });
}

/** Folders that no import has any more: the server ended between making one and noting it, or the other way round. */
async function removeOrphans({ database, uploads }: Context): Promise<void> {
  const folders = await uploads.listOlderThan(hourMs);
  const known = await findImportIds(database.kysely, folders);
  for (const folder of folders) if (!known.has(folder)) await uploads.remove(folder);
}
