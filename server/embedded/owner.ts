import { createHash } from 'node:crypto';
import { rmSync } from 'node:fs';
import net from 'node:net';
import path from 'node:path';

/** Held while this process owns a data folder; the system lets go of it whatever way the process ends. */
export interface Ownership {
  release(): Promise<void>;
}

/**
 * Takes a data folder for this process. A listening socket is the mark: it dies with its process, so that a
 * mark left by a killed server is told from a living one by whether anybody answers.
 * Throws where another server has the folder.
 */
export async function takeOwnership(folder: string, socketFolder: string): Promise<Ownership> {
  const windows = process.platform === 'win32';
  const address = windows
    ? `\\\\.\\pipe\\rimplane-${createHash('sha256').update(folder).digest('hex').slice(0, 24)}`
    : path.join(socketFolder, 'owner.sock');
  if (await answers(address)) {
    throw new Error(`Another Rimplane server is running with DATA_DIR ${folder}: stop it first`);
  }
  if (!windows) rmSync(address, { force: true });
  const server = net.createServer((socket) => socket.destroy());
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(address, resolve);
  });
  server.unref();
  return {
    release: () => new Promise((resolve) => server.close(() => resolve())),
  };
}

function answers(address: string): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = net.connect(address);
    socket.once('connect', () => {
      socket.destroy();
      resolve(true);
    });
    socket.once('error', () => resolve(false));
  });
}
