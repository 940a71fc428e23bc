import { spawn } from 'node:child_process';
import {
  accessSync,
  constants,
  existsSync,
  readdirSync,
  readFileSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { brotliCompressSync, gzipSync, constants as zlibConstants } from 'node:zlib';

const root = fileURLToPath(new URL('../../', import.meta.url));
/** Where vite puts the page. */
export const webFolder = path.join(root, 'web', 'dist');

/** What the page is made from: a newer file among these asks for a new build. */
const sources = ['web', 'core', 'shared', 'package-lock.json'];

/** Builds the page where there is none or its sources are newer. Throws with vite's words where that fails. */
export async function buildPageIfNeeded(say: (line: string) => void): Promise<void> {
  const built = newest(webFolder);
  const index = path.join(webFolder, 'index.html');
  const changed = Math.max(...sources.map((source) => newest(path.join(root, source))));
  if (!existsSync(index) || built < changed) {
    say('Building the page ...');
    await runVite();
  }
  if (isWritable(webFolder)) compressFiles();
}

/** A page built by somebody else, where this account may not write, is served as it lies there. */
function isWritable(folder: string): boolean {
  try {
    accessSync(folder, constants.W_OK);
    return true;
  } catch {
    return false;
  }
}

/** Time of the newest file below a place, leaving out what a build itself writes; 0 where there is none. */
function newest(place: string): number {
  if (!existsSync(place)) return 0;
  const found = statSync(place);
  if (!found.isDirectory()) return found.mtimeMs;
  const times = readdirSync(place)
    .map((name) => path.join(place, name))
    .filter((inside) => inside !== webFolder && !inside.endsWith('node_modules'))
    .map(newest);
  return Math.max(0, ...times);
}

function runVite(): Promise<void> {
  const vite = path.join(
    path.dirname(createRequire(import.meta.url).resolve('vite/package.json')),
    'bin',
    'vite.js',
  );
  return new Promise((resolve, reject) => {
    // Whatever the server runs under: a page built for another mode would not be kept on phones.
    const env = { ...process.env, NODE_ENV: 'production' };
    const child = spawn(process.execPath, [vite, 'build', 'web', '--logLevel', 'warn'], { cwd: root, env });
    let output = '';
    child.stdout.on('data', (chunk) => (output += chunk));
    child.stderr.on('data', (chunk) => (output += chunk));
    child.once('error', reject);
    child.once('close', (code) => {
      if (code === 0) resolve();
      else reject(new Error(`The page could not be built (exit ${code}):\n${output.trim()}`));
    });
  });
}

const compressible = /\.(html|js|mjs|css|svg|json|webmanifest|map)$/;
const smallestBytes = 1024;

/** Lays a brotli and a gzip copy beside every text file, once, so that serving costs nothing. */
function compressFiles(): void {
  for (const name of readdirSync(webFolder, { recursive: true, encoding: 'utf8' })) {
    const file = path.join(webFolder, name);
    if (!compressible.test(name) || existsSync(`${file}.br`)) continue;
    const bytes = readFileSync(file);
    if (bytes.length < smallestBytes) continue;
    const quality = { [zlibConstants.BROTLI_PARAM_QUALITY]: 9 };
    writeFileSync(`${file}.gz`, gzipSync(bytes, { level: 9 }));
    writeFileSync(`${file}.br`, brotliCompressSync(bytes, { params: quality }));
  }
}
