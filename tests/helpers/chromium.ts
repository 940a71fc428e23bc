import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

const usual = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
];

/** Path of a Chromium on this machine: CHROMIUM, the usual places, then PATH; null where there is none. */
export function findChromium(): string | null {
  const named = process.env.CHROMIUM;
  if (named) return existsSync(named) ? named : null;
  const onPath = (process.env.PATH ?? '').split(delimiter).map((folder) => join(folder, 'chromium'));
  return [...usual, ...onPath].find((path) => existsSync(path)) ?? null;
}

/** Chromium's options for tests: no screen, no calls home; as root it will not start with its sandbox. */
export const chromiumArguments = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
