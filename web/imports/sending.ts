import { signal } from '@preact/signals';
import type { ImportTarget, StagedImport } from '#shared/staged-import.ts';
import { ApiError, faultOf, sendPart } from '../api.ts';
import { server } from '../load.ts';
import type { Fault } from '../state.ts';
import { forgetFiles, keepFiles, keptFiles } from './kept-files.ts';
import { matchFiles, mayRecover, nextPart, waitBefore } from './parts.ts';

/** How far an upload is that this page sends, or should send. */
export interface Sending {
  sent: number;
  total: number;
  /** `lost`: the connection is gone and is tried again; `needsFile`: a person has to choose the file again. */
  state: 'waiting' | 'sending' | 'lost' | 'needsFile' | 'failed';
  fault: Fault | null;
}

/** By identity of the import. */
export const sendings = signal<Readonly<Record<string, Sending>>>({});
const stops = new Map<string, AbortController>();
/** One upload after the other: two at once would only share the line. */
let queue: Promise<void> = Promise.resolve();

function put(id: string, part: Partial<Sending> | null): void {
  const { [id]: before, ...others } = sendings.peek();
  const fresh: Sending = { sent: 0, total: 0, state: 'waiting', fault: null };
  sendings.value = part === null ? others : { ...others, [id]: { ...fresh, ...before, ...part } };
}

const sumOf = (numbers: number[]) => numbers.reduce((sum, number) => sum + number, 0);

/** Makes room on the server and begins to send; returns as soon as the server knows of it. */
export async function beginUpload(
  project: string,
  files: File[],
  target: ImportTarget,
): Promise<StagedImport> {
  const named = files.map(({ name, size }) => ({ name, sizeBytes: size }));
  const staged = await server().createImport(project, { files: named, target });
  void keepFiles(staged.id, files);
  void enqueue(project, staged, files);
  return staged;
}

/** Goes on with an upload that a reload or a closed page broke off. */
export async function resumeUpload(project: string, staged: StagedImport): Promise<void> {
  const { id, files, state } = staged;
  if (stops.has(id) || state !== 'uploading') return;
  const kept = await keptFiles(id);
  const matching = kept && matchFiles(files, kept);
  if (stops.has(id)) return;
  if (matching) return enqueue(project, staged, matching);
  put(id, { ...progressOf(staged), state: 'needsFile', fault: null });
}

/** The same files, chosen again by a person. A file of another name or size is refused. */
export function goOnWith(project: string, staged: StagedImport, chosen: File[]): void {
  const matching = matchFiles(staged.files, chosen);
  if (matching) {
    void enqueue(project, staged, matching);
    return;
  }
  const names = staged.files.map(({ name, sizeBytes }) => `${name} (${sizeBytes} bytes)`).join(', ');
  const message = `This is not the file whose upload broke off. Choose ${names}, or discard this import.`;
  put(staged.id, { fault: { message, fields: [] } });
}

export function stopUpload(id: string): void {
  stops.get(id)?.abort();
  stops.delete(id);
  put(id, null);
  void forgetFiles(id);
}

function progressOf({ files }: StagedImport) {
  return {
    sent: sumOf(files.map(({ receivedBytes }) => receivedBytes)),
    total: sumOf(files.map(({ sizeBytes }) => sizeBytes)),
  };
}

function enqueue(project: string, staged: StagedImport, files: File[]): Promise<void> {
  const stop = new AbortController();
  stops.set(staged.id, stop);
  put(staged.id, { ...progressOf(staged), state: 'waiting', fault: null });
  queue = queue.then(() => sendAll({ project, id: staged.id, files, signal: stop.signal }));
  return queue;
}

interface Upload {
  project: string;
  id: string;
  files: File[];
  signal: AbortSignal;
}

/** Sends what is missing, part by part, until all is there, it is stopped, or the server refuses it for good. */
async function sendAll(upload: Upload): Promise<void> {
  const { id, signal } = upload;
  let lost = 0;
  while (!signal.aborted) {
    try {
      if (!(await sendNext(upload, () => (lost = 0)))) break;
    } catch (error) {
      if (signal.aborted) return;
      const status = error instanceof ApiError ? error.status : 0;
      // 409: the server has other bytes than thought, or still writes those of a broken request.
      if (status !== 409 && !mayRecover(status)) {
        put(id, { state: 'failed', fault: faultOf(error) });
        stops.delete(id);
        return;
      }
      lost++;
      if (status !== 409) put(id, { state: 'lost' });
      await new Promise((resolve) => setTimeout(resolve, waitBefore(lost)));
    }
  }
  if (signal.aborted) return;
  stops.delete(id);
  put(id, null);
  await forgetFiles(id);
}

/** Asks what is there, sends the parts of the first file that lacks some; false when nothing is missing. */
async function sendNext({ project, id, files, signal }: Upload, onTaken: () => void): Promise<boolean> {
  const staged = await server().stagedImport(project, id, signal);
  if (staged.state !== 'uploading') return false;
  const { total } = progressOf(staged);
  const file = staged.files.find(({ receivedBytes, sizeBytes }) => receivedBytes < sizeBytes);
  if (!file) return false;
  const before = sumOf(staged.files.slice(0, file.number - 1).map(({ sizeBytes }) => sizeBytes));
  let received = file.receivedBytes;
  for (let part = nextPart(received, file.sizeBytes); part; part = nextPart(received, file.sizeBytes)) {
    const { start, end } = part;
    put(id, { sent: before + start, total, state: 'sending' });
    const taken = await sendPart({
      path: server().partPath(project, id, file.number),
      part: files[file.number - 1].slice(start, end),
      offset: start,
      onProgress: (bytes) => put(id, { sent: before + Math.min(end, start + bytes) }),
      signal,
    });
    received = taken.receivedBytes;
    onTaken();
  }
  return true;
}
