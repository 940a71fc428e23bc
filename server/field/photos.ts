import type { Readable } from 'node:stream';
import { largestPhotoBytes, type PhotoState } from '#shared/photo.ts';
import type { AppContext } from '../context.ts';
import { HttpProblem } from '../http-problem.ts';
import { findPhoto, insertPhoto } from '../store/field/photos.ts';
import type { PartRefusal } from '../uploads/folder.ts';

interface PhotoKey {
  agencyId: string;
  sha256: string;
}

export async function photoState({ database, photos }: AppContext, key: PhotoKey): Promise<PhotoState> {
  const { sha256 } = key;
  const there = await findPhoto(database.kysely, key.agencyId, sha256);
  if (there) return { sha256, receivedBytes: there.bytes, complete: true, mediaType: there.mediaType };
  return { sha256, receivedBytes: await photos.receivedBytes(key), complete: false, mediaType: null };
}

export interface PhotoPart {
  offset: number;
  /** Of the whole picture, where the sender says it. */
  length: number | null;
  /** The sender says that nothing follows. */
  isLast: boolean;
  bytes: Readable;
}

/**
 * Takes a part of a picture. It is complete once it has the hash that it is asked for by; where it is at its end and has
 * another one, or is no picture, its bytes are dropped and the part is refused. Parts of one that is there are passed over.
 */
export async function takePhotoPart(
  context: AppContext,
  key: PhotoKey,
  { offset, length, isLast, bytes }: PhotoPart,
): Promise<PhotoState> {
  if ((length ?? 0) > largestPhotoBytes) {
    bytes.resume();
    throw tooLarge();
  }
  const before = await photoState(context, key);
  if (before.complete) {
    bytes.resume();
    return before;
  }
  if (!(await context.uploads.hasRoomFor(largestPhotoBytes))) {
    bytes.resume();
    throw new HttpProblem(507, 'The disk of the server has no room for pictures.');
  }
  const taken = await context.photos.append(key, { offset, mostBytes: length ?? largestPhotoBytes }, bytes);
  if ('refusal' in taken) throw refusalOf(taken);
  return judge(context, key, { received: taken.receivedBytes, length, isLast });
}

async function judge(
  { database, photos }: AppContext,
  key: PhotoKey,
  { received, length, isLast }: { received: number; length: number | null; isLast: boolean },
): Promise<PhotoState> {
  const partial = { sha256: key.sha256, receivedBytes: received, complete: false, mediaType: null };
  const isAtEnd = isLast || received === length;
  if (received === 0 || (length !== null && !isAtEnd)) return partial;
  const { isWhole, mediaType } = await photos.look(key);
  if (isWhole && mediaType) {
    await photos.finish(key);
    await insertPhoto(database.kysely, key.agencyId, key.sha256, { bytes: received, mediaType });
    return { ...partial, complete: true, mediaType };
  }
  if (!isAtEnd && !isWhole) return partial;
  await photos.drop(key);
  throw new HttpProblem(
    422,
    isWhole
      ? 'This is no JPEG, PNG or WebP picture: nothing of it was kept.'
      : 'The bytes do not have the hash that they were sent under: nothing of them was kept, send them again from 0.',
  );
}

const tooLarge = () =>
  new HttpProblem(413, `A picture may have ${largestPhotoBytes / 1_000_000} MB: nothing was kept.`);

function refusalOf(refusal: PartRefusal): HttpProblem {
  switch (refusal.refusal) {
    case 'busy':
      return new HttpProblem(409, 'Another part of this picture is on its way.');
    case 'offset':
      return new HttpProblem(409, `The next part starts at byte ${refusal.receivedBytes}.`, {
        headers: { 'upload-offset': String(refusal.receivedBytes) },
      });
    case 'tooLong':
      return tooLarge();
    case 'noSpace':
      return new HttpProblem(507, 'The disk of the server is full.');
  }
}
