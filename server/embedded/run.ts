import { spawn } from 'node:child_process';
import { readFileSync, readlinkSync, rmSync } from 'node:fs';
import path from 'node:path';
import { invocation } from './account.ts';
import type { Place } from './place.ts';

/** Runs one of PostgreSQL's programs to its end; throws with what it said where it fails. */
export function run(place: Place, program: string, programArgs: string[]): Promise<void> {
  const { file, args, options } = invocation(place.runner, program, programArgs);
  return new Promise((resolve, reject) => {
    const child = spawn(file, args, {
      ...options,
      cwd: '/',
      detached: true,
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    let output = '';
    child.stdout.on('data', (chunk) => (output += chunk));
    child.stderr.on('data', (chunk) => (output += chunk));
    child.once('error', reject);
    child.once('close', (code) => {
      if (code === 0) resolve();
      else reject(new Error(`${path.basename(program)} failed (exit ${code}): ${output.trim()}`));
    });
  });
}

/**
 * A server killed outright leaves its PostgreSQL behind; we own the folder now, so it is nobody's and is stopped.
 * Where the number in postmaster.pid is by now some other process, or a dead one that nobody has waited for,
 * PostgreSQL would take it for itself and refuse to start: the file goes. Should a backend of the dead one still
 * run, PostgreSQL sees that by its shared memory.
 */
export async function stopLeftOver(place: Place): Promise<void> {
  const mark = path.join(place.cluster, 'postmaster.pid');
  const pid = Number(readLines(mark)[0]);
  if (pid && isAlive(pid)) {
    if (isPostmasterOf(pid, place.cluster)) {
      await run(place, place.binaries.pgCtl, ['stop', '-D', place.cluster, '-m', 'fast', '-w', '-t', '30']);
    } else {
      rmSync(mark, { force: true });
    }
  }
  for (const name of ['.s.PGSQL.5432', '.s.PGSQL.5432.lock']) {
    rmSync(path.join(place.socketFolder, name), { force: true });
  }
}

/** On Linux a postmaster's working folder is its cluster; elsewhere pg_ctl itself judges. */
function isPostmasterOf(pid: number, cluster: string): boolean {
  if (process.platform !== 'linux') return true;
  try {
    return readlinkSync(`/proc/${pid}/cwd`) === cluster;
  } catch {
    return false;
  }
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

export function readLines(file: string): string[] {
  try {
    return readFileSync(file, 'utf8').split('\n');
  } catch {
    return [];
  }
}
