import { randomBytes } from 'node:crypto';
import { mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { giveTo, type Place } from './place.ts';
import { run } from './run.ts';

/** Name of the database's superuser, which is also the one that the server works as. */
export const user = 'rimplane';
const major = '18';

/** Made beside its place and renamed, so that an interrupted initdb leaves no half cluster. */
export async function makeCluster(place: Place): Promise<void> {
  const unfinished = `${place.cluster}.unfinished`;
  rmSync(unfinished, { recursive: true, force: true });
  mkdirSync(unfinished, { mode: 0o700 });
  const passwordFile = path.join(unfinished, '..', 'postgres.password.new');
  const password = randomBytes(24).toString('base64url');
  writeFileSync(passwordFile, `${password}\n`, { mode: 0o600 });
  giveTo(unfinished, place.runner);
  giveTo(passwordFile, place.runner);
  const args = ['-D', unfinished, '-U', user, '--encoding=UTF8', '--locale=C', '--locale-provider=builtin'];
  args.push('--builtin-locale=C.UTF-8', '--auth-local=trust', '--auth-host=scram-sha-256');
  args.push(`--pwfile=${passwordFile}`, '--no-instructions');
  try {
    await run(place, place.binaries.initdb, args);
    if (process.platform === 'win32') renameSync(passwordFile, path.join(place.folder, 'postgres.password'));
    renameSync(unfinished, place.cluster);
  } finally {
    rmSync(passwordFile, { force: true });
  }
}

export function checkVersion({ cluster }: Place): void {
  const found = readFileSync(path.join(cluster, 'PG_VERSION'), 'utf8').trim();
  if (found !== major) {
    throw new Error(
      `${cluster} was made by PostgreSQL ${found}; this Rimplane brings ${major}. Dump and load it first`,
    );
  }
}
