import { createHash } from 'node:crypto';
import {
  accessSync,
  chmodSync,
  constants,
  cpSync,
  existsSync,
  lchownSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  realpathSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { type Account, canUnshare, canUse, dataOwner, findAccount, type Runner } from './account.ts';
import { type Binaries, binariesIn, findBinaries } from './binaries.ts';

/** Where the cluster lives and how its programs are run. */
export interface Place {
  binaries: Binaries;
  runner: Runner;
  /** Holds the cluster; DATA_DIR itself unless nobody but root may enter that. */
  folder: string;
  cluster: string;
  /** Folder of the unix socket, 0700 and short enough for a socket's address. */
  socketFolder: string;
  log: string;
  /** What the user should know of the choice; empty where there is nothing. */
  notice: string;
}

/** Longest address of a unix socket: 107 bytes on Linux, 103 on macOS. */
const longestSocketPath = 103;

export function choosePlace(dataFolder: string): Place {
  const folder = openFolder(dataFolder);
  const binaries = findBinaries();
  if (process.getuid?.() !== 0) return placeIn(folder, binaries, { how: 'self' }, '');
  const account = findAccount();
  const kept = existsSync(path.join(statePlace(folder), 'postgres'));
  if (kept && !existsSync(path.join(folder, 'postgres'))) return stateFolder(folder, binaries, account);
  if (canUse(account, binaries.postgres, folder)) {
    return placeIn(folder, binaries, { how: 'account', account }, '');
  }
  if (canUnshare(account, binaries.postgres)) {
    return placeIn(folder, binaries, { how: 'namespace', account }, '');
  }
  return stateFolder(folder, binaries, account);
}

function openFolder(folder: string): string {
  try {
    makeFolder(folder);
    accessSync(folder, constants.W_OK | constants.X_OK);
    return realpathSync(folder);
  } catch (cause) {
    throw new Error(`DATA_DIR ${folder} cannot be used`, { cause });
  }
}

/** Level by level: mkdir's own way of doing all at once never ends where a parent cannot hold folders, as /proc. */
function makeFolder(folder: string): void {
  if (existsSync(folder)) return;
  makeFolder(path.dirname(folder));
  mkdirSync(folder, { mode: 0o755 });
}

/** The account may not enter DATA_DIR or the programs' folder: both get a place where it may. */
function stateFolder(folder: string, binaries: Binaries, account: Account): Place {
  const base = statePlace(folder);
  if (existsSync(path.join(folder, 'postgres'))) {
    throw new Error(
      `${folder} holds a database, but neither may ${account.name} enter it nor does this system allow a user namespace`,
    );
  }
  mkdirSync(base, { recursive: true, mode: 0o755 });
  const copy = path.join(base, 'native');
  if (!existsSync(path.join(copy, 'bin')))
    cpSync(binaries.root, copy, { recursive: true, verbatimSymlinks: true });
  const copied = binariesIn(copy);
  if (!canUse(account, copied.postgres, base)) {
    throw new Error(
      `PostgreSQL cannot run as ${account.name} in ${folder} or ${base}: set DATA_DIR or DATABASE_URL`,
    );
  }
  const notice = `${folder} is closed to the account ${account.name}: the database is kept in ${base}`;
  return placeIn(base, copied, { how: 'account', account }, notice);
}

function statePlace(folder: string): string {
  return path.join(existsSync('/var/lib') ? '/var/lib' : tmpdir(), `rimplane-${digest(folder)}`);
}

function placeIn(folder: string, binaries: Binaries, runner: Runner, notice: string): Place {
  const cluster = path.join(folder, 'postgres');
  const place: Place = {
    binaries,
    runner,
    folder,
    cluster,
    socketFolder: ownFolder(socketFolderFor(folder), runner),
    log: path.join(folder, 'postgres.log'),
    notice,
  };
  if (existsSync(cluster)) giveTo(cluster, runner);
  return place;
}

function socketFolderFor(folder: string): string {
  const near = path.join(folder, 'run');
  const address = path.join(near, '.s.PGSQL.5432.lock');
  return Buffer.byteLength(address) <= longestSocketPath
    ? near
    : path.join('/tmp', `rimplane-${digest(folder)}`);
}

/** Makes a 0700 folder for the runner; refuses one that somebody else laid in its way. */
function ownFolder(folder: string, runner: Runner): string {
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const found = lstatSync(folder);
  const allowed = [process.getuid?.(), dataOwner(runner)?.uid];
  if (!found.isDirectory() || (process.getuid && process.getuid() !== 0 && !allowed.includes(found.uid))) {
    throw new Error(`${folder} belongs to somebody else; PostgreSQL's socket is not put there`);
  }
  chmodSync(folder, 0o700);
  giveTo(folder, runner);
  return folder;
}

/** Hands a file, or a folder and all in it, to the account that PostgreSQL runs as; nothing to do where that is us. */
export function giveTo(target: string, runner: Runner): void {
  const owner = dataOwner(runner);
  const found = lstatSync(target);
  if (!owner || found.uid === owner.uid) return;
  const inside = found.isDirectory() ? readdirSync(target, { recursive: true, encoding: 'utf8' }) : [];
  for (const name of inside) lchownSync(path.join(target, name), owner.uid, owner.gid);
  lchownSync(target, owner.uid, owner.gid);
}

function digest(text: string): string {
  return createHash('sha256').update(text).digest('hex').slice(0, 12);
}
