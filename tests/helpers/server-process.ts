import { type ChildProcess, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../..', import.meta.url));
const { start } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')).scripts as { start: string };
const [, ...flags] = start.split(' ').slice(0, -1);
const main = join(root, 'server', 'main.ts');
/** What all servers of the tests are compiled to, for the next one. */
const compiled = join(root, 'node_modules', '.cache', 'compiled');

/** A real server, started as `npm start` does. */
export interface ServerProcess {
  child: ChildProcess;
  /** Where it listens; rejects with what it said where it ends before that. */
  address: Promise<string>;
  /** Resolves when it has ended, with its exit code or signal and all that it said. */
  ended: Promise<{ code: number | string; out: string; err: string }>;
}

/** Without the page, which other tests build, and on any free port unless `env` says otherwise. */
export function startServerProcess(env: Record<string, string>): ServerProcess {
  const child = spawn(process.execPath, [...flags, main], {
    env: {
      ...process.env,
      ...{ PORT: '0', WEB_BUILD: 'off', DATABASE_URL: '', NODE_COMPILE_CACHE: compiled },
      ...env,
    },
    stdio: ['ignore', 'pipe', 'pipe'],
    // A working folder of its own shows that nothing depends on where it was started.
    cwd: env.DATA_DIR && '/',
  });
  let [out, err] = ['', ''];
  child.stderr!.on('data', (chunk) => {
    err += chunk;
  });
  const ended = new Promise<{ code: number | string; out: string; err: string }>((resolve) => {
    child.once('close', (code, signal) => resolve({ code: code ?? signal ?? 'none', out, err }));
  });
  const address = new Promise<string>((resolve, reject) => {
    child.stdout!.on('data', (chunk) => {
      out += chunk;
      const found = /http:\/\/\S+/.exec(out);
      if (found) resolve(found[0]);
    });
    ended.then(() => reject(new Error(`The server ended: ${out}${err}`)));
  });
  address.catch(() => {});
  return { child, address, ended };
}

/** Process id of the PostgreSQL that serves a data folder, or null where none does. */
export function postmasterOf(dataFolder: string): number | null {
  let pid: number;
  try {
    pid = Number(readFileSync(join(dataFolder, 'postgres', 'postmaster.pid'), 'utf8').split('\n')[0]);
  } catch {
    return null;
  }
  return isAlive(pid) ? pid : null;
}

/** A dead process that its parent has not waited for does not count as alive. */
export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return process.platform !== 'linux' || !/\) Z /.test(readFileSync(`/proc/${pid}/stat`, 'utf8'));
  } catch {
    return false;
  }
}
