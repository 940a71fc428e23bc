import { computed, signal } from '@preact/signals';
import type { ImportBatch, ImportReport } from '#shared/import.ts';
import { faultOf, upload } from '../../api.ts';
import { load, refresh, server } from '../../load.ts';
import { announcement, type Fault, type Loaded, nothingLoaded, project } from '../../state.ts';

export type Kind = 'structures' | 'shots';
export const kinds: readonly Kind[] = ['structures', 'shots'];

/** One file on its way in: read and shown first, stored only on request. */
export interface Staged {
  file: File | null;
  /** Part of the upload that has gone, 0 to 1; null when none is under way. */
  sent: number | null;
  report: ImportReport | null;
  fault: Fault | null;
}

const empty: Staged = { file: null, sent: null, report: null, fault: null };
const stop: Partial<Record<Kind, AbortController>> = {};

export const staged = { structures: signal(empty), shots: signal(empty) };

/** Which surface the shots were taken on. */
export const stage = signal<'existing' | 'milled' | 'lift' | 'finished'>('finished');
/** Name of the survey that the shots belong to; '' = the file's name. */
export const survey = signal('');

const change = (kind: Kind, part: Partial<Staged>) => {
  staged[kind].value = { ...staged[kind].peek(), ...part };
};

/** Rows that a store would add or change. */
export const worthStoring = (report: ImportReport | null) => (report ? report.new + report.changed : 0);

const isPreview = (report: ImportReport | null) => report?.mode === 'preview';

export const toStore = computed(() =>
  kinds
    .map((kind) => {
      const { report } = staged[kind].value;
      return { kind, count: isPreview(report) ? worthStoring(report) : 0 };
    })
    .filter(({ count }) => count > 0),
);
export const isBusy = computed(() => kinds.some((kind) => staged[kind].value.sent !== null));
export const hasFiles = computed(() => kinds.some((kind) => staged[kind].value.file !== null));

async function send(kind: Kind, mode: 'preview' | 'store'): Promise<boolean> {
  const { file } = staged[kind].peek();
  const now = project.peek();
  if (!file || !now) return false;
  const controller = new AbortController();
  stop[kind] = controller;
  change(kind, { sent: 0, fault: null });
  const query: Record<string, string> = { mode };
  if (kind === 'shots') {
    query.stage = stage.peek();
    if (survey.peek().trim()) query.surface = survey.peek().trim();
  }
  try {
    const report = await upload({
      path: server().importPath(now.id, kind),
      file,
      query,
      onProgress: (sent) => change(kind, { sent }),
      signal: controller.signal,
    });
    change(kind, { report, sent: null });
    return true;
  } catch (error) {
    const isStopped = error instanceof DOMException && error.name === 'AbortError';
    change(kind, { sent: null, fault: isStopped ? null : faultOf(error) });
    return false;
  }
}

/** Reads a chosen file and shows what it holds; nothing is stored. */
export async function choose(kind: Kind, file: File): Promise<void> {
  stop[kind]?.abort();
  change(kind, { ...empty, file });
  if (await send(kind, 'preview')) announcement.value = `${file.name} is read. Nothing is stored yet.`;
}

/** Reads the chosen shots again after a choice that changes what storing them would do. */
export async function readAgain(kind: Kind): Promise<void> {
  if (staged[kind].peek().file && staged[kind].peek().report?.mode !== 'store') await send(kind, 'preview');
}

export function discard(kind: Kind): void {
  stop[kind]?.abort();
  staged[kind].value = empty;
}

/** Stores what was previewed: the register before the shots. A refused file stops the rest. */
export async function storeAll(): Promise<void> {
  for (const { kind } of toStore.peek()) {
    if (!(await send(kind, 'store'))) return;
    announcement.value = kind === 'structures' ? 'Register stored.' : 'Shots stored.';
  }
  await Promise.all([refresh(), loadBatches()]);
}

/** Imports that were stored before, newest first. */
export const batches = signal<Loaded<ImportBatch[]>>(nothingLoaded);

export async function loadBatches(): Promise<void> {
  const now = project.peek();
  if (now) await load(batches, () => server().imports(now.id));
}
