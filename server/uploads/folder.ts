import { randomUUID } from 'node:crypto';
import { constants, createWriteStream, type WriteStream } from 'node:fs';
import { mkdir, open, readdir, readFile, rename, rm, stat, statfs, writeFile } from 'node:fs/promises';
import path from 'node:path';
import type { Readable } from 'node:stream';
import { setTimeout as pause } from 'node:timers/promises';

/** Why a part was not taken. */
export type PartRefusal =
  | { refusal: 'offset'; receivedBytes: number }
  | { refusal: 'busy' }
  | { refusal: 'tooLong'; receivedBytes: number }
  | { refusal: 'noSpace' };

/** Room that an upload leaves free on the disk, bytes: PostgreSQL needs some of it to store what is in the file. */
const leftFree = 512 * 2 ** 20;

/**
 * Bytes of uploads on disk, in a folder an import, under names of the server's own. What has come of a file is the
 * length of it on disk, so that a killed server knows it as well as one that was not.
 */
export class UploadFolder {
  readonly #root: string;
  /** Files that a part is being written to. */
  readonly #busy = new Set<string>();

  constructor(dataFolder: string) {
    this.#root = path.join(dataFolder, 'uploads');
  }

  get path(): string {
    return this.#root;
  }

  /** What tells this folder from every other one, whichever way it is reached; made with the first call. */
  async mark(): Promise<string> {
    await mkdir(this.#root, { recursive: true, mode: 0o700 });
    const file = path.join(this.#root, 'folder-mark');
    try {
      await writeFile(file, randomUUID(), { flag: 'wx', mode: 0o600 });
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
    // Another server may have made the file and not written it yet.
    for (let tries = 0; tries < 50; tries++) {
      const mark = (await readFile(file, 'utf8')).trim();
      if (importIdPattern.test(mark)) return mark;
      await pause(20);
    }
    throw new Error(`${file} is damaged: remove it and start again`);
  }

  async create(importId: string): Promise<void> {
    await mkdir(this.#folderOf(importId), { recursive: true, mode: 0o700 });
  }

  /** Whether the disk has room for so many bytes more. */
  async hasRoomFor(bytes: number): Promise<boolean> {
    await mkdir(this.#root, { recursive: true, mode: 0o700 });
    const { bavail, bsize } = await statfs(this.#root);
    return bavail * bsize > bytes + leftFree;
  }

  /** Path of an uploaded file, there or not. */
  pathOf(importId: string, number: number): string {
    return path.join(this.#folderOf(importId), `${number}.part`);
  }

  /** Path of the list of refused rows, there or not. */
  refusedPathOf(importId: string): string {
    return path.join(this.#folderOf(importId), 'refused.csv');
  }

  /** Path of a list that is only there while a file is being read or stored. */
  spoolPathOf(importId: string, number: number): string {
    return path.join(this.#folderOf(importId), `${number}.spool`);
  }

  async removeRefused(importId: string): Promise<void> {
    await rm(this.refusedPathOf(importId), { force: true });
  }

  /** Rows that the checks set aside, for the storing after the reading. */
  async writeSetAside(importId: string, rows: Iterable<number>): Promise<void> {
    await writeFile(this.#setAsidePath(importId), JSON.stringify([...rows]), { mode: 0o600 });
  }

  async readSetAside(importId: string): Promise<Set<number>> {
    return new Set(JSON.parse(await readFile(this.#setAsidePath(importId), 'utf8')) as number[]);
  }

  #setAsidePath(importId: string): string {
    return path.join(this.#folderOf(importId), 'set-aside.json');
  }

  async receivedBytes(importId: string, number: number): Promise<number> {
    return sizeOf(this.pathOf(importId, number));
  }

  /**
   * Adds a part from `offset` on, which has to be where the file ends. A part that breaks off stays as far as it came;
   * bytes beyond `sizeBytes` are refused, with nothing of the part kept.
   */
  async append(
    { importId, number, sizeBytes }: { importId: string; number: number; sizeBytes: number },
    offset: number,
    part: Readable,
  ): Promise<{ receivedBytes: number } | PartRefusal> {
    const file = this.pathOf(importId, number);
    if (this.#busy.has(file)) return { refusal: 'busy' };
    this.#busy.add(file);
    try {
      const receivedBytes = await sizeOf(file);
      if (offset !== receivedBytes) return { refusal: 'offset', receivedBytes };
      await this.create(importId);
      return await writePart(file, { offset, sizeBytes }, part);
    } finally {
      this.#busy.delete(file);
    }
  }

  /** A stream into the list of refused rows; `finish` puts it in place, in one step. */
  async writeRefused(
    importId: string,
  ): Promise<{ stream: WriteStream; finish: () => Promise<void>; drop: () => Promise<void> }> {
    await this.create(importId);
    const file = this.refusedPathOf(importId);
    const unfinished = `${file}.unfinished`;
    const stream = createWriteStream(unfinished, { mode: 0o600 });
    return {
      stream,
      finish: () => rename(unfinished, file),
      drop: () => rm(unfinished, { force: true }),
    };
  }

  /** Throws the file's own bytes away; the list of refused rows stays. */
  async removeParts(importId: string): Promise<void> {
    for (const name of await namesIn(this.#folderOf(importId))) {
      if (name !== 'refused.csv') await rm(path.join(this.#folderOf(importId), name), { force: true });
    }
  }

  async remove(importId: string): Promise<void> {
    await rm(this.#folderOf(importId), { recursive: true, force: true });
  }

  /** Imports that have a folder. */
  async list(): Promise<string[]> {
    return (await namesIn(this.#root)).filter((name) => importIdPattern.test(name));
  }

  /** Imports whose folder nothing was put into for so long. */
  async listOlderThan(milliseconds: number): Promise<string[]> {
    const names = await this.list();
    const stats = await Promise.all(names.map((name) => stat(this.#folderOf(name))));
    return names.filter((_, index) => Date.now() - stats[index].mtimeMs > milliseconds);
  }

  #folderOf(importId: string): string {
    if (!importIdPattern.test(importId)) throw new Error('An upload folder is named by an import');
    return path.join(this.#root, importId);
  }
}

/** Identities are made by the server; nothing that a request says becomes part of a path. */
const importIdPattern = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** Writes a part at its place in a file; see `append`. */
export async function writePart(
  file: string,
  { offset, sizeBytes }: { offset: number; sizeBytes: number },
  part: Readable,
): Promise<{ receivedBytes: number } | PartRefusal> {
  // Written at their places: two servers that take the same part do not lay its bytes down twice.
  const handle = await open(file, constants.O_WRONLY | constants.O_CREAT, 0o600);
  let at = offset;
  try {
    for await (const chunk of part as AsyncIterable<Buffer>) {
      if (at + chunk.length > sizeBytes) {
        await handle.truncate(offset);
        return { refusal: 'tooLong', receivedBytes: offset };
      }
      for (let sent = 0; sent < chunk.length; )
        sent += (await handle.write(chunk, sent, chunk.length - sent, at + sent)).bytesWritten;
      at += chunk.length;
    }
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOSPC') return { refusal: 'noSpace' };
    // The sender went away: what came before that counts.
    if (!part.destroyed && !part.errored) throw error;
  } finally {
    // An answered part is on the disk also when the machine loses its power.
    await handle.sync().catch(() => {});
    await handle.close();
  }
  return { receivedBytes: at };
}

export async function sizeOf(file: string): Promise<number> {
  try {
    return (await stat(file)).size;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return 0;
    throw error;
  }
}

async function namesIn(folder: string): Promise<string[]> {
  try {
    return await readdir(folder);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}
