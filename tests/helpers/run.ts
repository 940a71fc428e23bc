/**
 * What `npm test` runs: lint and types, the web page's build, then every test. The browser tests need Chromium, those of
 * paper need poppler: as root on Debian or Ubuntu both are installed here; elsewhere they skip and say so, but never when
 * CI=true.
 * Ends with one plain line of counts.
 */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findChromium } from './chromium.ts';
import { hasPoppler } from './poppler.ts';

const bin = (name: string) =>
  join('node_modules', '.bin', process.platform === 'win32' ? `${name}.cmd` : name);

function run(title: string, command: string, args: string[], env: NodeJS.ProcessEnv = {}): number {
  process.stdout.write(`\n== ${title}\n`);
  const shell = process.platform === 'win32';
  const { status, error } = spawnSync(command, args, {
    stdio: 'inherit',
    shell,
    env: { ...process.env, ...env },
  });
  if (error) process.stderr.write(`${command}: ${error.message}\n`);
  return status ?? 1;
}

function installTools(): void {
  const missing = [
    ...(findChromium() === null ? ['chromium', 'fonts-dejavu-core'] : []),
    ...(hasPoppler ? [] : ['poppler-utils']),
  ];
  if (missing.length === 0 || process.getuid?.() !== 0) return;
  const release = existsSync('/etc/os-release') ? readFileSync('/etc/os-release', 'utf8') : '';
  if (!/^ID(_LIKE)?=.*(debian|ubuntu)/m.test(release)) return;
  const env = { DEBIAN_FRONTEND: 'noninteractive' };
  run('Tools for the tests: package lists', 'apt-get', ['update', '-qq'], env);
  run('Tools for the tests', 'apt-get', ['install', '-y', '-qq', ...missing], env);
}

function main(): number {
  const only = process.argv.slice(2);
  if (only.length === 0) {
    installTools();
    const steps: [string, string[]][] = [
      ['biome', ['check', '.']],
      ['tsc', ['--noEmit']],
      ['vite', ['build', 'web', '--logLevel', 'warn']],
    ];
    for (const [tool, args] of steps) {
      const status = run([tool, ...args].join(' '), bin(tool), args);
      if (status !== 0) return status;
    }
  }
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-tests-'));
  const counts = join(folder, 'counts.json');
  try {
    const args = ['run', '--reporter=default', '--reporter=json', `--outputFile.json=${counts}`, ...only];
    const status = run('vitest', bin('vitest'), args);
    if (!existsSync(counts)) return status || 1;
    const { numPassedTests, numFailedTests, numPendingTests, success } = JSON.parse(
      readFileSync(counts, 'utf8'),
    );
    const skipped = numPendingTests > 0 ? `, ${numPendingTests} skipped` : '';
    process.stdout.write(`\n${numPassedTests} passed, ${numFailedTests} failed${skipped}\n`);
    if (numPassedTests === 0 || !success) return 1;
    return status;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

process.exitCode = main();
