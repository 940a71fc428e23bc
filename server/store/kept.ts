import type { Kysely } from 'kysely';
import type { Tables } from './tables.ts';

/** So many values are kept of one database, where they are small. */
const usualMost = 60;

interface Kept<Value> {
  token: string;
  value: Promise<Value>;
}

/**
 * Keeps what takes long to count for as long as its token is the same. The token has to be read before anything is counted,
 * and to be another after every change to what is counted. Whoever asks while it is counted waits for that count. At most so
 * many are kept of one database; what nobody asked for longest goes first.
 */
export function keeper<Value>(
  mostKept = usualMost,
): (
  db: Kysely<Tables>,
  asked: { name: string; token: string },
  count: () => Promise<Value>,
) => Promise<Value> {
  const ofDatabase = new WeakMap<Kysely<Tables>, Map<string, Kept<Value>>>();
  return (db, { name, token }, count) => {
    const all = ofDatabase.get(db) ?? new Map<string, Kept<Value>>();
    ofDatabase.set(db, all);
    const known = all.get(name);
    all.delete(name);
    const kept = known?.token === token ? known : { token, value: count() };
    all.set(name, kept);
    kept.value.catch(() => {
      if (all.get(name) === kept) all.delete(name);
    });
    for (const oldest of all.keys()) {
      if (all.size <= mostKept) break;
      all.delete(oldest);
    }
    return kept.value;
  };
}
