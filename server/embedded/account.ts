import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';

/** An account of this machine that is not root. */
export interface Account {
  name: string;
  uid: number;
  gid: number;
}

/**
 * How PostgreSQL's programs are run. It refuses to run as root, so that root runs them
 * - `account`: as an unprivileged account, which must be able to enter the folders, or
 * - `namespace`: as root seen as that account inside a user namespace, which enters whatever root may.
 */
export type Runner =
  | { how: 'self' }
  | { how: 'account'; account: Account }
  | { how: 'namespace'; account: Account };

export interface Invocation {
  file: string;
  args: string[];
  options: { uid?: number; gid?: number };
}

export function invocation(runner: Runner, file: string, args: string[]): Invocation {
  if (runner.how === 'self') return { file, args, options: {} };
  const { uid, gid } = runner.account;
  if (runner.how === 'account') return { file, args, options: { uid, gid } };
  return {
    file: 'unshare',
    args: ['--user', `--map-user=${uid}`, `--map-group=${gid}`, '--', file, ...args],
    options: {},
  };
}

/** Owner that the data folder must have for a runner, or null where it is whoever runs the server. */
export function dataOwner(runner: Runner): { uid: number; gid: number } | null {
  if (runner.how === 'self') return null;
  return runner.how === 'account' ? runner.account : { uid: 0, gid: 0 };
}

/** The first of `postgres` and `nobody` that this machine has. */
export function findAccount(passwd = readFileSync('/etc/passwd', 'utf8')): Account {
  for (const name of ['postgres', 'nobody']) {
    const fields = passwd
      .split('\n')
      .map((line) => line.split(':'))
      .find((line) => line[0] === name);
    const [uid, gid] = [Number(fields?.[2]), Number(fields?.[3])];
    if (fields && uid > 0 && gid > 0) return { name, uid, gid };
  }
  throw new Error(
    'PostgreSQL does not run as root, and this machine has neither an account postgres nor nobody: set DATABASE_URL',
  );
}

/** Whether the account can run the program and work in the folder, tried rather than worked out from modes. */
export function canUse(account: Account, program: string, folder: string): boolean {
  const { uid, gid } = account;
  const options = { uid, gid, cwd: '/', stdio: 'ignore' as const };
  const runs = spawnSync(program, ['--version'], options).status === 0;
  return runs && spawnSync('/bin/sh', ['-c', 'cd "$1" && test -x .', 'sh', folder], options).status === 0;
}

/** Whether this system lets root open a user namespace of the account. */
export function canUnshare(account: Account, program: string): boolean {
  const { file, args } = invocation({ how: 'namespace', account }, program, ['--version']);
  return spawnSync(file, args, { stdio: 'ignore' }).status === 0;
}
