import type { AnyKept, AnyMade } from '#core/field/facts.ts';
import type { CrewNight, CrewNightHead } from '#shared/crew-night.ts';
import type { FieldRecordReceipt } from '#shared/field-record.ts';
import type { Page } from '#shared/schema.ts';
import { ApiError, key, send, sendJson } from '../api.ts';
import type { Picture } from './database.ts';

const projectPath = (agency: string, project: string) => `/agencies/${key(agency)}/projects/${key(project)}`;

export const crewNights = async (agency: string, project: string) =>
  (await send<{ items: CrewNightHead[] }>(`${projectPath(agency, project)}/crew-nights`)).items;

interface WhichNight extends Pick<CrewNightHead, 'night' | 'crew'> {
  agency: string;
  project: string;
}

/** A night with its tag; null where the server has none newer than that of `tag`. */
export async function crewNight(
  { agency, project, night, crew }: WhichNight,
  tag: string | null = null,
): Promise<{ bundle: CrewNight; tag: string | null } | null> {
  const path = `/api${projectPath(agency, project)}/crew-night?night=${night ?? ''}&crew=${key(crew ?? '')}`;
  const response = await fetch(path, { headers: tag === null ? {} : { 'if-none-match': tag } });
  if (response.status === 304) return null;
  // What stands between, as a proxy, may answer with anything.
  const body = await response.json().catch(() => null);
  if (!response.ok || body === null) {
    const message = body?.detail ?? 'It refused the night.';
    throw new ApiError(response.status, { message, fields: [] });
  }
  return { bundle: body, tag: response.headers.get('etag') };
}

export const sendRecords = (agency: string, project: string, records: AnyMade[]) =>
  sendJson<FieldRecordReceipt>('POST', `${projectPath(agency, project)}/field-records`, {
    body: { records },
  });

/** All records of the project that came after `since`. */
export async function recordsSince(agency: string, project: string, since: number): Promise<AnyKept[]> {
  const items: AnyKept[] = [];
  let next: string | null = `${projectPath(agency, project)}/field-records?since=${since}`;
  while (next !== null) {
    const page: Page<AnyKept> = await send<Page<AnyKept>>(next.replace(/^\/api/, ''));
    items.push(...page.items);
    next = page.next;
  }
  return items;
}

/** Sends what the server does not have of a picture yet. */
export async function sendPicture({ agency, sha256, blob }: Picture): Promise<void> {
  const path = `/agencies/${key(agency)}/photos/${sha256}`;
  const { headers } = await fetch(`/api${path}`, { method: 'HEAD' });
  if (headers.get('upload-complete') === '?1') return;
  const offset = Number(headers.get('upload-offset') ?? 0);
  await send(path, {
    method: 'PATCH',
    headers: {
      'content-type': blob.type,
      'upload-offset': String(offset),
      'upload-length': String(blob.size),
      'upload-complete': '?1',
    },
    body: blob.slice(offset, blob.size, blob.type),
  });
}
