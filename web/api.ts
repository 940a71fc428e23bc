import type { AnyMade } from '#core/field/facts.ts';
import type { Acceptance } from '#shared/acceptance.ts';
import type { Agency, AgencyPatch } from '#shared/agency.ts';
import type { AssignBody, AssignResult, AssignUndo } from '#shared/assignment.ts';
import type { CoverCard, CoverPage, CoverRow } from '#shared/cover.ts';
import type { CrsFound } from '#shared/crs.ts';
import type { FieldRecordReceipt, RecordsCame } from '#shared/field-record.ts';
import type { Job, JobProgress, ProjectRevision } from '#shared/job.ts';
import type { OverlayBody, OverlayPage, StructureOutlook } from '#shared/outlook.ts';
import type { ProjectPlots } from '#shared/plots.ts';
import type { ProblemDetails } from '#shared/problem.ts';
import type { Project, ProjectCreate, ProjectHoldings } from '#shared/project.ts';
import type { RimRecord, RimRecordCreate } from '#shared/rim-record.ts';
import type { RingCatalogue } from '#shared/ring-catalogue.ts';
import type { RingSupplies, RingSuppliesPatch } from '#shared/ring-supply.ts';
import type { Page } from '#shared/schema.ts';
import type { SearchResult } from '#shared/search.ts';
import type { Settings } from '#shared/settings.ts';
import type { UploadFile } from '#shared/staged-import.ts';
import type { StreetCollection } from '#shared/street.ts';
import type { Structure, StructurePatch } from '#shared/structure.ts';
import type { Takeoff } from '#shared/takeoff.ts';
import { importCalls } from './import-calls.ts';
import type { Fault } from './state.ts';

/** The only place that speaks to the server. A refused call throws an `ApiError` that people can read. */
export class ApiError extends Error {
  readonly status: number;
  readonly fault: Fault;
  constructor(status: number, fault: Fault) {
    super(fault.message);
    this.status = status;
    this.fault = fault;
  }
}

export function faultOf(error: unknown): Fault {
  if (error instanceof ApiError) return error.fault;
  return { message: error instanceof Error ? error.message : String(error), fields: [] };
}

const unreachable = 'The server does not answer. Your view stays; try again in a moment.';

function faultFrom(problem: Partial<ProblemDetails> | null, status: number): Fault {
  const message = problem?.detail || problem?.title || `The server refused this (HTTP ${status}).`;
  const fields = (problem?.errors ?? []).map(({ path, message: what }) => `${path}: ${what}`);
  return { message, fields };
}

export const send = async <Answer>(path: string, init?: RequestInit): Promise<Answer> =>
  (await sendTagged<Answer>(path, init)).value;

/** An answer with the tag of its version, which a change of it has to name. */
async function sendTagged<Answer>(path: string, init?: RequestInit): Promise<{ value: Answer; tag: string }> {
  let response: Response;
  try {
    response = await fetch(`/api${path}`, init);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new ApiError(0, { message: unreachable, fields: [] });
  }
  const body = response.status === 204 ? null : await response.json().catch(() => null);
  if (!response.ok)
    throw new ApiError(response.status, faultFrom(body as Partial<ProblemDetails>, response.status));
  return { value: body as Answer, tag: response.headers.get('etag') ?? '' };
}

/** All pages of a list; `next` is an address from the root of the host. */
async function sendPages<Item>(path: string, signal?: AbortSignal): Promise<Item[]> {
  const items: Item[] = [];
  let next: string | null = path;
  while (next !== null) {
    const page: Page<Item> = await send<Page<Item>>(next.replace(/^\/api/, ''), { signal });
    items.push(...page.items);
    next = page.next;
  }
  return items;
}

export const key = encodeURIComponent;

interface JsonCall {
  body?: unknown;
  version?: number;
  /** In place of `version`, where the server names it otherwise. */
  tag?: string;
  signal?: AbortSignal;
}

/** A call with a body. `version`: of what the change was made from; the server refuses it where that is older. */
export function sendJson<Answer>(
  method: 'POST' | 'PATCH',
  path: string,
  { body, version, tag, signal }: JsonCall,
): Promise<Answer> {
  const headers: Record<string, string> = {};
  if (body !== undefined) headers['content-type'] = 'application/json';
  if (version !== undefined) headers['if-match'] = `"${version}"`;
  if (tag !== undefined) headers['if-match'] = tag;
  return send<Answer>(path, {
    method,
    headers,
    body: body === undefined ? undefined : JSON.stringify(body),
    signal,
  });
}

export type SuppliesOf = { project: string } | { catalogue: string };

/** Calls below one agency; a fresh server has exactly one. */
export function agencyApi(agency: string) {
  const base = `/agencies/${key(agency)}`;
  const projectPath = (project: string) => `${base}/projects/${key(project)}`;
  const suppliesPath = (of: SuppliesOf) =>
    'project' in of
      ? `${projectPath(of.project)}/ring-supplies`
      : `${base}/ring-catalogues/${key(of.catalogue)}/supplies`;
  return {
    projects: () => sendPages<Project>(`${base}/projects`),
    project: (id: string) => send<Project>(projectPath(id)),
    covers: (id: string, signal?: AbortSignal) =>
      sendPages<CoverRow>(`${projectPath(id)}/covers?limit=2000`, signal),
    /** One page of covers; `query` as the list takes it. */
    coverPage: (id: string, query: URLSearchParams, signal?: AbortSignal) =>
      send<CoverPage>(`${projectPath(id)}/covers?${query}`, { signal }),
    /** The page whose address another page gave as its `next` or `previous`. */
    nextCovers: (next: string, signal?: AbortSignal) =>
      send<CoverPage>(next.replace(/^\/api/, ''), { signal }),
    search: (text: string, signal?: AbortSignal) =>
      send<SearchResult>(`${base}/search?limit=8&q=${key(text)}`, { signal }),
    overlayOutlook: (body: OverlayBody, signal?: AbortSignal) =>
      sendJson<OverlayPage>('POST', `${base}/overlay-outlook`, { body, signal }),
    overlayCsvAddress: (query: URLSearchParams) => `/api${base}/overlay-outlook.csv?${query}`,
    plots: (id: string, signal?: AbortSignal) => send<ProjectPlots>(`${projectPath(id)}/plots`, { signal }),
    takeoff: (id: string, query: URLSearchParams, signal?: AbortSignal) =>
      send<Takeoff>(`${projectPath(id)}/takeoff?${query}`, { signal }),
    /** Packs, spares and stock: a project's, or the agency's own of a catalogue. */
    supplies: (of: SuppliesOf) => sendTagged<RingSupplies>(suppliesPath(of)),
    /** `tag`: of what the change was made from. */
    changeSupplies: (of: SuppliesOf, body: RingSuppliesPatch, tag: string) =>
      sendJson<RingSupplies>('PATCH', suppliesPath(of), { body, tag }),
    structureOutlook: (id: string, query: URLSearchParams, signal?: AbortSignal) =>
      send<StructureOutlook>(`${base}/structures/${key(id)}/outlook?${query}`, { signal }),
    levelRim: (id: string, body: RimRecordCreate) =>
      sendJson<RimRecord>('POST', `${base}/structures/${key(id)}/rims`, { body }),
    assign: (id: string, body: AssignBody) =>
      sendJson<AssignResult>('POST', `${projectPath(id)}/covers/assign`, { body }),
    undoAssign: (id: string, assignment: string) =>
      sendJson<AssignUndo>('POST', `${projectPath(id)}/covers/assign/${key(assignment)}/undo`, {}),
    /** Addresses of tiles: of a project's covers, and of the rest of the register round them. */
    tiles: (project: string) => {
      const base = `${location.origin}/tiles/covers/{z}/{x}/{y}.mvt?agency=${key(agency)}`;
      return { covers: `${base}&project=${key(project)}`, register: `${base}&outside=${key(project)}` };
    },
    /** Addresses of tiles of the covers that a filter leaves; `query` as the list takes it. */
    chosenTiles: (id: string, query: URLSearchParams) =>
      `${location.origin}/api${projectPath(id)}/covers/tiles/{z}/{x}/{y}.mvt?${query}`,
    /** Addresses of tiles of all that a question answers. */
    answerTiles: (query: URLSearchParams) =>
      `${location.origin}/api${base}/overlay-outlook/tiles/{z}/{x}/{y}.mvt?${query}`,
    card: (id: string, cover: string, signal?: AbortSignal) =>
      send<CoverCard>(`${projectPath(id)}/covers/${key(cover)}`, { signal }),
    acceptance: (id: string, cover: string, signal?: AbortSignal) =>
      send<Acceptance>(`${projectPath(id)}/covers/${key(cover)}/acceptance`, { signal }),
    /** A record made at the desk; what the server refuses is thrown. */
    record: async (id: string, made: AnyMade) => {
      const body = { records: [made] };
      const path = `${projectPath(id)}/field-records`;
      const { items } = await sendJson<FieldRecordReceipt>('POST', path, { body });
      const [{ outcome, message }] = items;
      if (outcome === 'refused') throw new ApiError(422, { message: message ?? 'Refused.', fields: [] });
    },
    streets: (signal?: AbortSignal) => send<StreetCollection>(`${base}/streets`, { signal }),
    structures: (signal?: AbortSignal) => sendPages<Structure>(`${base}/structures?limit=2000`, signal),
    /** Made over what the agency's limits are now: the server refuses it where somebody is quicker. */
    changeAgency: async (body: AgencyPatch) => {
      const response = await fetch(`/api${base}`);
      return sendJson<Agency>('PATCH', base, { body, tag: response.headers.get('etag') ?? '' });
    },
    changeStructure: ({ id, version }: Pick<Structure, 'id' | 'version'>, body: StructurePatch) =>
      sendJson<Structure>('PATCH', `${base}/structures/${key(id)}`, { body, version }),
    undoEdit: (id: string, event: number) =>
      sendJson<Structure>('POST', `${base}/structures/${key(id)}/history/${event}/undo`, {}),
    catalogue: (id: string) => send<RingCatalogue>(`${base}/ring-catalogues/${key(id)}`),
    catalogues: async () => (await send<{ items: RingCatalogue[] }>(`${base}/ring-catalogues`)).items,
    createCatalogue: (body: RingCatalogue) =>
      sendJson<RingCatalogue>('POST', `${base}/ring-catalogues`, { body }),
    createProject: (body: ProjectCreate) => sendJson<Project>('POST', `${base}/projects`, { body }),
    holdings: (id: string, signal?: AbortSignal) =>
      send<ProjectHoldings>(`${projectPath(id)}/holdings`, { signal }),
    deleteProject: ({ id, version }: Pick<Project, 'id' | 'version'>) =>
      send<Job>(projectPath(id), { method: 'DELETE', headers: { 'if-match': `"${version}"` } }),
    startPlan: (id: string) => send<Job>(`${projectPath(id)}/plans`, { method: 'POST' }),
    cancelJob: (id: string) => send<Job>(`${base}/jobs/${key(id)}/cancel`, { method: 'POST' }),
    job: (id: string) => send<Job>(`${base}/jobs/${key(id)}`),
    watchJob: (id: string, onProgress: (progress: JobProgress) => void) =>
      watch(`${base}/jobs/${key(id)}/events`, 'progress', onProgress),
    watchProject: (
      id: string,
      onRevision: (revision: ProjectRevision) => void,
      onRecords: (came: RecordsCame) => void,
    ) => {
      const source = new EventSource(`/api${projectPath(id)}/events`);
      listen(source, 'revision', onRevision);
      listen(source, 'record', onRecords);
      return () => source.close();
    },
    ...importCalls(base),
  };
}

export type AgencyApi = ReturnType<typeof agencyApi>;

export const findCrs = async (words: string, signal?: AbortSignal) =>
  (await send<{ items: CrsFound[] }>(`/crs?q=${key(words)}`, { signal })).items;

export const settings = () => send<Settings>('/settings');

const basemapPatienceMs = 4000;

/** A basemap's style document, from wherever the server's setting points; the map does not wait for it for long. */
export async function basemapStyle(address: string): Promise<unknown> {
  const fault = (message: string) => new ApiError(0, { message, fields: [] });
  let response: Response;
  try {
    response = await fetch(address, { signal: AbortSignal.timeout(basemapPatienceMs) });
  } catch {
    throw fault(`${new URL(address).host} does not answer.`);
  }
  if (!response.ok) throw fault(`${new URL(address).host} answers HTTP ${response.status}.`);
  return response.json();
}

export const agencies = async () => (await send<{ items: Agency[] }>('/agencies')).items;

/** Server-sent events, of one name or several; the browser reconnects by itself. Returns what ends it. */
export function watch<Data>(
  path: string,
  event: string | readonly string[],
  onData: (data: Data) => void,
  onLost?: () => void,
): () => void {
  const source = new EventSource(`/api${path}`);
  if (onLost) source.onerror = onLost;
  for (const name of [event].flat()) listen(source, name, onData);
  return () => source.close();
}

function listen<Data>(source: EventSource, event: string, onData: (data: Data) => void): void {
  source.addEventListener(event, (message) => onData(JSON.parse((message as MessageEvent<string>).data)));
}

export interface PartToSend {
  path: string;
  part: Blob;
  /** Byte of the file that the part starts at. */
  offset: number;
  onProgress: (bytes: number) => void;
  signal: AbortSignal;
}

/** Sends a part of a file; XMLHttpRequest because fetch tells nothing of an upload's progress. */
export function sendPart({ path, part, offset, onProgress, signal }: PartToSend): Promise<UploadFile> {
  const { promise, resolve, reject } = Promise.withResolvers<UploadFile>();
  const request = new XMLHttpRequest();
  request.open('PATCH', `/api${path}`);
  request.responseType = 'json';
  request.setRequestHeader('content-type', 'application/partial-upload');
  request.setRequestHeader('upload-offset', String(offset));
  request.upload.onprogress = ({ loaded }) => onProgress(loaded);
  request.onload = () => {
    const isFine = request.status >= 200 && request.status < 300;
    if (isFine) resolve(request.response as UploadFile);
    else reject(new ApiError(request.status, faultFrom(request.response as ProblemDetails, request.status)));
  };
  request.onerror = () => reject(new ApiError(0, { message: unreachable, fields: [] }));
  request.onabort = () => reject(new DOMException('Stopped', 'AbortError'));
  signal.addEventListener('abort', () => request.abort(), { once: true });
  if (signal.aborted) reject(new DOMException('Stopped', 'AbortError'));
  else request.send(part);
  return promise;
}
