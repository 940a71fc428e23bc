import { effect, signal } from '@preact/signals';
import type { ImportBatch } from '#shared/import.ts';
import type {
  ImportAnswers,
  ImportProgress,
  ImportState,
  ImportTarget,
  StagedImport,
} from '#shared/staged-import.ts';
import { faultOf } from '../api.ts';
import type { ImportAct } from '../import-calls.ts';
import { load, refresh, server } from '../load.ts';
import { announcement, type Fault, type Loaded, nothingLoaded, project, show, view } from '../state.ts';
import { loadLaid } from './laid.ts';
import { groupFiles } from './parts.ts';
import { beginUpload, resumeUpload, stopUpload } from './sending.ts';

/** The import that the page shows. */
export const current = signal<Loaded<StagedImport>>(nothingLoaded);
/** What was just said and is not read yet, by question: shown at once, so that a choice never seems to be lost. */
export const saying = signal<Readonly<Record<string, string>>>({});
/** What could not be done about the open import, or about files just chosen. */
export const actFault = signal<Fault | null>(null);
/** The server does not answer while something is under way. */
export const isLost = signal(false);
export const inHand = signal<Loaded<ImportBatch[]>>(nothingLoaded);
export const batches = signal<Loaded<ImportBatch[]>>(nothingLoaded);

const statesInHand: readonly ImportState[] = [
  'uploading',
  'uploaded',
  'reading',
  'ready',
  'storing',
  'failed',
];
export const moving: readonly ImportState[] = ['uploading', 'reading', 'storing'];

let stopWatching: () => void = () => {};

/** Shows whatever import the address names, and lets go of the one before. Returns what ends it. */
export function followImport(): () => void {
  let shown: string | null = null;
  return effect(() => {
    const id = view.value.page === 'surveys' ? view.value.import : null;
    const now = project.value?.id ?? null;
    const next = id && now ? `${now}/${id}` : null;
    if (next === shown) return;
    shown = next;
    stopWatching();
    current.value = nothingLoaded;
    saying.value = {};
    actFault.value = null;
    if (id && now) void openImport(now, id);
  });
}

async function openImport(projectId: string, id: string): Promise<void> {
  await load(current, () => server().stagedImport(projectId, id));
  const staged = current.peek().value;
  if (staged?.id !== id) return;
  void resumeUpload(projectId, staged);
  follow(staged);
}

/** Watches while something is under way. The stream ends at rest; left open, the browser would ask again for ever. */
function follow({ id, state }: StagedImport): void {
  stopWatching();
  isLost.value = false;
  if (!moving.includes(state)) return;
  const projectId = project.peek()!.id;
  stopWatching = server().watchImport(projectId, id, {
    onProgress: (progress) => void takeProgress(progress),
    onLost: () => (isLost.value = true),
  });
}

async function takeProgress({ importId, state, done, total }: ImportProgress): Promise<void> {
  isLost.value = false;
  const now = current.peek().value;
  if (now?.id !== importId) return;
  current.value = { ...current.peek(), value: { ...now, state, progress: { done, total } } };
  if (moving.includes(state)) return;
  stopWatching();
  await refreshImport();
}

/** The old picture stays until the new one is there. */
export async function refreshImport(): Promise<void> {
  const [projectId, id] = [project.peek()?.id, view.peek().import];
  if (!projectId || !id) return;
  await load(current, () => server().stagedImport(projectId, id));
  const staged = current.peek().value;
  if (!staged || staged.id !== id) return;
  saying.value = {};
  follow(staged);
  announcement.value = staged.said;
  if (staged.state === 'stored' || staged.state === 'undone') await showLaid();
}

/** What an import laid down or took back shows on every page. */
export const showLaid = async () => {
  await Promise.all([refresh(), loadBatches(), loadLaid()]);
};

/** Begins one import a file, or one for the parts of a shapefile. The first of one opens; several wait in the list. */
export async function bringIn(files: File[], target: ImportTarget): Promise<void> {
  const now = project.peek();
  if (!now || files.length === 0) return;
  actFault.value = null;
  const groups = groupFiles(files);
  for (const group of groups) {
    try {
      const staged = await beginUpload(now.id, group, target);
      if (groups.length === 1) show({ import: staged.id });
    } catch (error) {
      actFault.value = faultOf(error);
      break;
    }
  }
  if (groups.length > 1) await loadInHand();
}

/** Says something of the file. `key` is what is shown as chosen until the file is read again. */
export async function say(answers: ImportAnswers, key?: string, choice?: string): Promise<void> {
  if (key && choice !== undefined) saying.value = { ...saying.peek(), [key]: choice };
  await change((projectId, id) => server().answerImport(projectId, id, answers));
}

export const act = (word: ImportAct) =>
  change((projectId, id) => {
    if (word === 'discard') stopUpload(id);
    return server().actOnImport(projectId, id, word);
  });

/** One thing is said after the other: answers given in quick succession must not meet on the server. */
let last: Promise<void> = Promise.resolve();

function change(ask: (projectId: string, id: string) => Promise<StagedImport>): Promise<void> {
  const [projectId, id] = [project.peek()?.id, current.peek().value?.id];
  if (!projectId || !id) return Promise.resolve();
  last = last.then(() => changeNow(id, () => ask(projectId, id)));
  return last;
}

async function changeNow(id: string, ask: () => Promise<StagedImport>): Promise<void> {
  actFault.value = null;
  try {
    const answer = await ask();
    const now = current.peek().value;
    if (now?.id !== id) return;
    current.value = { ...current.peek(), value: { ...answer, preview: answer.preview ?? now.preview } };
    if (moving.includes(answer.state)) follow(answer);
    else await refreshImport();
  } catch (error) {
    saying.value = {};
    actFault.value = faultOf(error);
  }
}

export async function loadBatches(): Promise<void> {
  const now = project.peek();
  if (now) await load(batches, () => server().imports(now.id, ['stored', 'undone']));
}

export async function loadInHand(): Promise<void> {
  const now = project.peek();
  if (now) await load(inHand, () => server().imports(now.id, statesInHand));
}

/** Goes on with uploads that an earlier page of this browser broke off. */
export async function resumeUploads(): Promise<void> {
  await loadInHand();
  const now = project.peek();
  const broken = (inHand.peek().value ?? []).filter(({ state }) => state === 'uploading');
  for (const { id } of broken) {
    try {
      if (now) await resumeUpload(now.id, await server().stagedImport(now.id, id));
    } catch (error) {
      actFault.value = faultOf(error);
    }
  }
}

export async function discard(id: string): Promise<void> {
  const now = project.peek();
  if (!now) return;
  stopUpload(id);
  try {
    await server().actOnImport(now.id, id, 'discard');
  } catch (error) {
    actFault.value = faultOf(error);
  }
  await loadInHand();
}
