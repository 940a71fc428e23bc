import type { AnyMade, Facts, RecordKind } from '#core/field/facts.ts';
import { put } from './database.ts';
import type { Pictures } from './hole/types.ts';
import { covers, me, night, outbox, pictures, readAgain } from './night.ts';
import { say } from './said.ts';
import { exchangeSoon } from './sync.ts';

/** Resolves once the record is on the phone's disk; says so in words where the phone does not take it. */
export async function record<Kind extends RecordKind>(
  structureId: string,
  kind: Kind,
  facts: Facts[Kind],
): Promise<void> {
  const { agency, bundle, key } = night.peek()!;
  const at = covers.peek().find(({ card }) => card.structure.id === structureId);
  const seen = Math.max(0, ...(at?.records ?? []).map((one) => ('seq' in one ? one.seq : 0)));
  const { name: by, device } = me.peek();
  const made = { id: crypto.randomUUID(), structureId, kind, facts, by, device, seen };
  const whole = { ...made, deviceTime: new Date().toISOString() } as AnyMade;
  try {
    await put('outbox', { agency, project: bundle.project.id, night: key, record: whole, refused: null });
  } catch (error) {
    say(error instanceof Error ? error.message : String(error));
    throw error;
  }
  await readAgain();
  exchangeSoon();
}

async function hashOf(picture: Blob): Promise<string> {
  const hash = await crypto.subtle.digest('SHA-256', await picture.arrayBuffer());
  return [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

export const phonePictures: Pictures = {
  keep: async (blob) => {
    const sha256 = await hashOf(blob);
    try {
      await put('pictures', { sha256, agency: night.peek()!.agency, blob, isSent: false });
    } catch (error) {
      say(error instanceof Error ? error.message : String(error));
      throw error;
    }
    await readAgain();
    return sha256;
  },
  find: async (sha256) => pictures.peek().find((one) => one.sha256 === sha256)?.blob ?? null,
  isSent: (sha256) => pictures.value.find((one) => one.sha256 === sha256)?.isSent ?? true,
};

export const isSent = (id: string) => !outbox.value.some(({ record: { id: one } }) => one === id);
