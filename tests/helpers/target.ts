import type { ConnectionTarget } from '../../server/store/database.ts';

/** The same server, another database. */
export function inDatabase(target: ConnectionTarget, name: string): ConnectionTarget {
  if (!('url' in target)) return { ...target, database: name };
  const url = new URL(target.url);
  url.pathname = `/${name}`;
  return { url: url.href };
}
