import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const folder = fileURLToPath(new URL('../../../shared/data/', import.meta.url));

/** Openly licensed files that stand beside some checkouts and in no clone. */
export const haveRealFiles = existsSync(folder);

/** Says in the test's own name why it does not run. */
export const realFilesTitle = (title: string) =>
  haveRealFiles ? title : `${title} (SKIPPED: the folder of real files is not beside this checkout)`;

export const realFile = (path: string) => folder + path;
