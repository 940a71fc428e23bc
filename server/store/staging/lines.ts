import type { Kysely } from 'kysely';
import type { Counts } from '../imports/batches.ts';
import { listLines, type ProjectLine, upsertLines } from '../lines.ts';
import { lockProject } from '../plans.ts';
import type { Tables } from '../tables.ts';
import { insertChanges } from './changes.ts';

interface Key {
  agencyId: string;
  projectId: string;
  importId: string;
}

type NewLine = Omit<ProjectLine, 'version'>;

interface Sorted {
  new: NewLine[];
  changed: { before: ProjectLine; after: NewLine }[];
  same: number;
}

export async function countLines(db: Kysely<Tables>, key: Key, lines: readonly NewLine[]): Promise<Counts> {
  return countsOf(await sortLines(db, key, lines));
}

/** Stores lines in the caller's transaction, and keeps what each changed one was before. */
export async function storeLines(db: Kysely<Tables>, key: Key, lines: readonly NewLine[]): Promise<Counts> {
  await lockProject(db, key);
  const sorted = await sortLines(db, key, lines);
  const kept = [...sorted.new, ...sorted.changed.map(({ after }) => after)];
  await upsertLines(db, key, kept, key.importId);
  await insertChanges(db, key, [
    ...sorted.new.map(({ id }) => ({ kind: 'line' as const, key: id, before: null, afterVersion: 1 })),
    ...sorted.changed.map(({ before }) => ({
      kind: 'line' as const,
      key: before.id,
      before: { ...before },
      afterVersion: before.version + 1,
    })),
  ]);
  return countsOf(sorted);
}

const countsOf = (sorted: Sorted): Counts => ({
  new: sorted.new.length,
  changed: sorted.changed.length,
  same: sorted.same,
});

/** A line is the same when it is of one kind and lies in one place; the street that people gave it stays. */
async function sortLines(db: Kysely<Tables>, key: Key, lines: readonly NewLine[]): Promise<Sorted> {
  const known = new Map((await listLines(db, key)).map((line) => [line.id, line]));
  const sorted: Sorted = { new: [], changed: [], same: 0 };
  for (const line of lines) {
    const before = known.get(line.id);
    if (!before) sorted.new.push(line);
    else if (
      before.kind === line.kind &&
      before.name === line.name &&
      JSON.stringify(before.positions) === JSON.stringify(line.positions)
    )
      sorted.same++;
    else sorted.changed.push({ before, after: { ...line, street: line.street ?? before.street } });
  }
  return sorted;
}
