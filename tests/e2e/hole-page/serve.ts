import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { extname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const folder = (path: string) => fileURLToPath(new URL(path, import.meta.url));
const types: Record<string, string> = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css' };

export interface ServedPage {
  address: string;
  stop: () => Promise<void>;
}

/** Builds the page of the hole's screens and serves it on a free port. */
export async function servePage(): Promise<ServedPage> {
  const out = mkdtempSync(join(tmpdir(), 'rimplane-hole-'));
  await build({
    configFile: false,
    root: folder('.'),
    logLevel: 'warn',
    resolve: {
      alias: [
        { find: /^#core\//, replacement: folder('../../../core/') },
        { find: /^#shared\//, replacement: folder('../../../shared/') },
      ],
    },
    build: { outDir: out, emptyOutDir: true, target: 'es2022' },
  });
  const server = createServer((request, response) => {
    const path = new URL(request.url!, 'http://page').pathname;
    const file = join(out, path === '/' ? 'index.html' : path);
    response.writeHead(200, { 'content-type': types[extname(file)] ?? 'application/octet-stream' });
    response.end(readFileSync(file));
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  let isStopped = false;
  const stop = async () => {
    if (isStopped) return;
    isStopped = true;
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    rmSync(out, { recursive: true, force: true });
  };
  return { address: `http://127.0.0.1:${(server.address() as AddressInfo).port}/`, stop };
}
