import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { type Browser, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';
import { chromiumArguments, findChromium } from '../helpers/chromium.ts';

/** Path of a Chromium, or null with a reason to skip; where CI=true a missing one is a failure. */
export const browserPath = findChromium();
if (browserPath === null) {
  if (process.env.CI === 'true') throw new Error('CI=true and no Chromium found: the browser tests must run');
  console.warn('No Chromium found: the browser tests are skipped. Set CHROMIUM to its path.');
}

export interface RunningServer {
  address: string;
  /** Folder for a test's own files. */
  files: string;
  stop: () => Promise<void>;
}

/** Starts the real server on a free port with an empty data folder, as a user does for the first time. */
export async function startServer(): Promise<RunningServer> {
  const folder = mkdtempSync(join(tmpdir(), 'rimplane-e2e-'));
  const child = spawn(process.execPath, ['server/main.ts'], {
    env: { ...process.env, PORT: '0', HOST: '127.0.0.1', DATA_DIR: join(folder, 'data'), DATABASE_URL: '' },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const address = await addressOf(child);
  const stop = async () => {
    const ended = new Promise((resolve) => child.once('exit', resolve));
    child.kill('SIGINT');
    await ended;
    rmSync(folder, { recursive: true, force: true });
  };
  return { address, files: folder, stop };
}

function addressOf(child: ChildProcess): Promise<string> {
  const said: string[] = [];
  const { promise, resolve, reject } = Promise.withResolvers<string>();
  for (const stream of [child.stdout!, child.stderr!]) {
    createInterface({ input: stream }).on('line', (line) => {
      said.push(line);
      const found = /is at (http:\/\/\S+)/.exec(line);
      if (found) resolve(found[1]);
    });
  }
  child.once('exit', (code) => reject(new Error(`The server ended with ${code}:\n${said.join('\n')}`)));
  return promise;
}

export const startBrowser = (): Promise<Browser> =>
  chromium.launch({ executablePath: browserPath!, args: chromiumArguments });

/** Expects of what comes about by itself on a page, or has come to a server, within half a minute. */
export const eventually = <Value>(get: () => Promise<Value>) => expect.poll(get, { timeout: 30_000 });

/** The status that the desk's map draws a cover with, from the tiles it holds. */
export const drawnStatus = (page: Page, cover: string) =>
  page.evaluate((id) => {
    const { rimplaneMap: map } = window as unknown as { rimplaneMap: import('maplibre-gl').Map };
    const found = map.querySourceFeatures('covers', {
      sourceLayer: 'covers',
      filter: ['==', ['get', 'id'], id],
    });
    return found[0]?.properties.status as string | undefined;
  }, cover);

export interface WatchedPage {
  page: Page;
  /** Console errors, uncaught errors and failed requests so far. */
  faults: string[];
}

export async function openPage(browser: Browser, width: number, height: number): Promise<WatchedPage> {
  const page = await browser.newPage({ viewport: { width, height } });
  page.setDefaultTimeout(20_000);
  const faults: string[] = [];
  page.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('requestfailed', (request) => {
    const why = request.failure()?.errorText ?? '';
    // Leaving a page ends its event streams and what it was still loading.
    if (why !== 'net::ERR_ABORTED') faults.push(`${request.url()} ${why}`);
  });
  return { page, faults };
}

/** Waits until covers are painted: `idle` alone also fires when nothing was drawn. */
export async function waitForCovers(page: Page): Promise<number> {
  const handle = await page.waitForFunction(
    () => {
      const map = (window as unknown as { rimplaneMap?: import('maplibre-gl').Map }).rimplaneMap;
      if (!map?.getLayer('covers') || !map.isSourceLoaded('covers')) return 0;
      return map.queryRenderedFeatures({ layers: ['covers'] }).length;
    },
    null,
    { polling: 50 },
  );
  return handle.jsonValue();
}

const axeSource = readFileSync('node_modules/axe-core/axe.min.js', 'utf8');

/** What axe-core finds, one line each; the page's own policy lets no script tag in, so it is evaluated. */
export async function violationsOf(page: Page): Promise<string[]> {
  await page.evaluate(axeSource);
  return page.evaluate(async () => {
    const { axe } = window as unknown as { axe: typeof import('axe-core') };
    const { violations } = await axe.run(document);
    return violations.flatMap(({ id, nodes }) => nodes.map(({ target }) => `${id}: ${target.join(' ')}`));
  });
}
