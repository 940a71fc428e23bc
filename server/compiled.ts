import { existsSync, mkdirSync } from 'node:fs';
import { enableCompileCache } from 'node:module';
import path from 'node:path';

/**
 * Keeps what this server's programs are compiled to in the data folder, written when it or a thread ends: loading them anew is
 * a third of a start, and as much again for every thread of a plan. A folder that is not there yet is made by
 * whoever looks at whether it can be used; where one cannot be written in, nothing is kept.
 */
export function keepCompiled(dataFolder: string): void {
  if (process.env.NODE_COMPILE_CACHE === undefined) {
    if (!existsSync(dataFolder)) return;
    const folder = path.join(dataFolder, 'compiled');
    try {
      // What is in it is run: nobody else may write there.
      mkdirSync(folder, { recursive: true, mode: 0o700 });
    } catch {
      return;
    }
    // Threads take it from here.
    process.env.NODE_COMPILE_CACHE = folder;
  }
  enableCompileCache(process.env.NODE_COMPILE_CACHE);
}
