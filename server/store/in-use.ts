import type { Sql } from './database.ts';

/** What is done with connections that Kysely holds while the pool closes. */
export interface InUse {
  /** The same pool for Kysely, which reserves a connection for every statement and every transaction. */
  pool: Sql;
  /** From now on nothing new is begun; true once the last connection is given back, false after `mostMs`. */
  drain(mostMs: number): Promise<boolean>;
}

/**
 * postgres.js waits without end for a connection that is reserved while its pool closes: it is laid back into the pool
 * then, and nobody ends it any more. So the pool closes only when none is reserved.
 */
export function countInUse(sql: Sql): InUse {
  let inUse = 0;
  let isClosing = false;
  const { promise: idle, resolve: beIdle } = Promise.withResolvers<void>();
  const giveBack = (): void => {
    inUse -= 1;
    if (isClosing && inUse === 0) beIdle();
  };
  const reserve = async () => {
    if (isClosing) throw new Error('The database is being closed');
    inUse += 1;
    try {
      const reserved = await sql.reserve();
      const release = reserved.release;
      reserved.release = () => {
        release();
        giveBack();
      };
      return reserved;
    } catch (error) {
      giveBack();
      throw error;
    }
  };
  return {
    pool: new Proxy(sql, {
      get: (target, key) => (key === 'reserve' ? reserve : Reflect.get(target, key)),
    }),
    drain: async (mostMs) => {
      isClosing = true;
      if (inUse === 0) return true;
      const late = setTimeout(beIdle, mostMs);
      await idle;
      clearTimeout(late);
      return inUse === 0;
    },
  };
}
