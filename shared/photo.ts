import Type, { type Static } from 'typebox';
import { exact, nullableString } from './schema.ts';

/** Larger pictures are made smaller by the device that takes them. */
export const largestPhotoBytes = 50_000_000;

/** How much of a picture is there. The headers `Upload-Offset` and `Upload-Complete` say the same. */
export const PhotoState = exact({
  sha256: Type.String(),
  receivedBytes: Type.Integer(),
  complete: Type.Boolean({ description: 'All of it is there, and it has this hash.' }),
  mediaType: nullableString('null until it is complete.'),
});

export type PhotoState = Static<typeof PhotoState>;
