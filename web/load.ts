import { computed, effect, type Signal } from '@preact/signals';
import type { StyleSpecification } from 'maplibre-gl';
import type { CoverRow } from '#shared/cover.ts';
import { type AgencyApi, agencies, agencyApi, basemapStyle, faultOf, settings } from './api.ts';
import { fewCovers, followRows, reloadRows, rows } from './find/rows.ts';
import { endedWords } from './job-words.ts';
import { unrolledStreet } from './selection.ts';
import {
  announcement,
  basemap,
  card,
  catalogue,
  covers,
  job,
  jobFault,
  type Loaded,
  project,
  projects,
  register,
  secondsLeft,
  streets,
  tilesChanged,
  view,
} from './state.ts';

let api: AgencyApi | null = null;
export const server = () => {
  if (!api) throw new Error('The agency is not known yet');
  return api;
};

/** Keeps the old value while the new one is under way, and after a fault. */
export async function load<Value>(
  into: Signal<Loaded<Value>>,
  get: () => Promise<Value | null>,
): Promise<void> {
  into.value = { ...into.peek(), loading: true };
  try {
    into.value = { value: await get(), loading: false, fault: null };
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') return;
    into.value = { ...into.peek(), loading: false, fault: faultOf(error) };
  }
}

/** Finds the agency and its projects; everything else follows from the view. */
export async function start(): Promise<void> {
  void loadBasemap();
  await load(projects, async () => {
    const [agency] = await agencies();
    if (!agency) return [];
    api = agencyApi(agency.id);
    return api.projects();
  });
  // The table's rows are asked for before all that the map needs.
  followRows(server);
  followProject();
  followCard();
}

async function loadBasemap(): Promise<void> {
  await load(basemap, async () => {
    const { basemapStyleUrl } = await settings();
    return basemapStyleUrl === null ? null : ((await basemapStyle(basemapStyleUrl)) as StyleSpecification);
  });
}

export const reloadProjects = () => load(projects, () => server().projects());

/** Loads what a project shows, watches it for changes, and lets go when another is chosen. */
function followProject(): void {
  let id: string | null = null;
  let stop: () => void = () => {};
  effect(() => {
    const next = project.value?.id ?? null;
    if (next === id) return;
    id = next;
    stop();
    covers.value = { value: null, loading: false, fault: null };
    stop = next === null ? () => {} : openProject(next);
  });
}

function openProject(id: string): () => void {
  const { signal, abort } = newAbort();
  const now = project.peek()!;
  if (now.coverCount <= fewCovers) void load(covers, () => server().covers(id, signal));
  const endStreet = followStreet(signal);
  const endStreets = afterRows(() => void load(streets, () => server().streets(signal)));
  void loadCatalogue(now.ringCatalogueId);
  const endRegister = followRegister(signal);
  if (now.latestJob && isUnderWay(now.latestJob.state)) followJob(now.latestJob.id);
  let seen = `${now.inputRevision}/${now.planRevision}`;
  let lastSeq: number | null = null;
  const show = atMostEvery(200, () => {
    tilesChanged.value += 1;
    void refresh();
  });
  const unwatch = server().watchProject(
    id,
    ({ inputRevision, planRevision }) => {
      const revision = `${inputRevision}/${planRevision}`;
      if (revision === seen) return;
      seen = revision;
      show();
    },
    (came) => {
      // What is said on opening names no covers, and stands for what is on the page already.
      const isNew = lastSeq === null ? came.structureIds.length > 0 : came.lastSeq !== lastSeq;
      lastSeq = came.lastSeq;
      if (isNew) show();
    },
  );
  return () => {
    abort();
    show.stop();
    unwatch();
    endRegister();
    endStreets();
    endStreet();
  };
}

/** Does the work at once, and once more after the pause where it was asked for meanwhile: phones send in bursts. */
function atMostEvery(pauseMs: number, work: () => void): { (): void; stop: () => void } {
  let timer: ReturnType<typeof setTimeout> | null = null;
  let isWanted = false;
  const run = () => {
    if (timer !== null) {
      isWanted = true;
      return;
    }
    work();
    timer = setTimeout(() => {
      timer = null;
      if (isWanted) {
        isWanted = false;
        run();
      }
    }, pauseMs);
  };
  return Object.assign(run, { stop: () => timer !== null && clearTimeout(timer) });
}

/** What the table need not wait for: done once its first rows are here, or it is known that there are none. */
function afterRows(start: () => void): () => void {
  let isBegun = false;
  return effect(() => {
    const { items, isLoading, fault } = rows.value;
    if (isBegun || (isLoading && items.length === 0 && fault === null)) return;
    isBegun = true;
    start();
  });
}

function newAbort() {
  const controller = new AbortController();
  return { signal: controller.signal, abort: () => controller.abort() };
}

/** The whole register is for those who look at files: the map has it from tiles. */
function followRegister(signal: AbortSignal): () => void {
  let isLoaded = false;
  return effect(() => {
    if (isLoaded || view.value.page !== 'surveys') return;
    isLoaded = true;
    void load(register, () => server().structures(signal));
  });
}

/** Of a large project only the covers of the street that is unrolled are held; the table reads its own pages. */
function followStreet(signal: AbortSignal): () => void {
  let seen: string | null = null;
  return effect(() => {
    const [now, street] = [project.value, unrolledStreet.value];
    if (!now || now.coverCount <= fewCovers || street === null || street === seen) return;
    seen = street;
    void load(covers, () => streetCovers(now.id, street, signal));
  });
}

const streetCovers = async (id: string, street: string, signal?: AbortSignal) =>
  (await server().coverPage(id, new URLSearchParams({ street, sort: 'street', limit: '2000' }), signal))
    .items;

/** What `covers` holds, read again. */
async function coversAgain(): Promise<CoverRow[] | null> {
  const now = project.peek()!;
  if (now.coverCount <= fewCovers) return server().covers(now.id);
  const street = unrolledStreet.peek();
  return street === null ? null : streetCovers(now.id, street);
}

export async function loadCatalogue(id: string | null): Promise<void> {
  if (id === null) {
    catalogue.value = null;
    return;
  }
  try {
    catalogue.value = await server().catalogue(id);
  } catch (error) {
    projects.value = { ...projects.peek(), fault: faultOf(error) };
  }
}

/** Reads the project, its covers and the open card again; the old picture stays until then. */
export async function refresh(): Promise<void> {
  const id = project.peek()?.id;
  if (!id) return;
  reloadRows();
  await Promise.all([reloadProjects(), load(covers, coversAgain), reloadCard()]);
}

/** Which card is open; the address says much else, and each move of the map changes it. */
const openCard = computed(() => {
  const [id, cover] = [project.value?.id, view.value.cover];
  return id && cover ? JSON.stringify([id, cover]) : null;
});

/** The card follows the address; a click on the next cover drops the request before it. */
function followCard(): void {
  let stop = () => {};
  effect(() => {
    const open = openCard.value;
    stop();
    if (open === null) {
      card.value = { value: null, loading: false, fault: null };
      return;
    }
    const [id, cover]: [string, string] = JSON.parse(open);
    const { value, fault } = card.peek();
    if (value?.structure.id === cover && value.projectId === id && !fault) return;
    const { signal, abort } = newAbort();
    stop = abort;
    void load(card, () => server().card(id, cover, signal));
  });
}

async function reloadCard(): Promise<void> {
  const [id, cover] = [project.peek()?.id, view.peek().cover];
  if (id && cover) await load(card, () => server().card(id, cover));
}

const isUnderWay = (state: string) => state === 'queued' || state === 'running';

/** Asks for a new plan and shows its progress. */
export async function planAgain(): Promise<void> {
  jobFault.value = null;
  try {
    const begun = await server().startPlan(project.peek()!.id);
    job.value = begun;
    secondsLeft.value = null;
    announcement.value = 'Planning.';
    if (isUnderWay(begun.state)) followJob(begun.id);
    else await finishJob(begun.id);
  } catch (error) {
    jobFault.value = faultOf(error);
  }
}

function followJob(id: string): void {
  const stop = server().watchJob(id, (progress) => {
    secondsLeft.value = progress.secondsLeft;
    if (isUnderWay(progress.state)) {
      job.value = { ...(job.peek() ?? { id }), ...progress } as typeof job.value;
      return;
    }
    stop();
    void finishJob(id);
  });
}

async function finishJob(id: string): Promise<void> {
  try {
    const ended = await server().job(id);
    job.value = ended;
    if (ended.state === 'failed') jobFault.value = { message: ended.error ?? 'The plan failed.', fields: [] };
    announcement.value = endedWords(ended);
  } catch (error) {
    jobFault.value = faultOf(error);
  }
  await refresh();
}

export async function stopPlan(): Promise<void> {
  const running = job.peek();
  if (!running) return;
  try {
    await server().cancelJob(running.id);
  } catch (error) {
    jobFault.value = faultOf(error);
  }
}
