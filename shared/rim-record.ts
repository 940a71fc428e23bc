import Type, { type Static } from 'typebox';
import { exact, Moment, nullable, nullableNumber, nullableString, oneOf, page } from './schema.ts';

/** How an elevation came into the register: it stood there, a file, an edit, or a rim that somebody levelled. */
export const rimSources = ['register', 'import', 'edit', 'levelled'] as const;

export const IsoDate = Type.String({ format: 'date', description: 'YYYY-MM-DD' });
export const nullableDate = Type.Unsafe<string | null>({ type: ['string', 'null'], format: 'date' });

/** A rim as it stood on a day. Records are added, never changed. */
export const RimRecord = exact({
  id: Type.Integer(),
  date: IsoDate,
  rimElevationM: Type.Number(),
  pavementElevationM: nullableNumber('The pavement beside it on that day, from the same benchmark.'),
  seatElevationM: nullableNumber('As the register had it then.'),
  frameHeightM: nullableNumber('As the register had it then.'),
  source: oneOf(rimSources),
  who: nullableString(),
  note: nullableString('What was done, in words.'),
  importId: nullableString(),
  recordedAt: Moment,
});

export const RimRecordPage = page(RimRecord);

/** A rim levelled on a day. It is in the history; the register's own rim follows where `date` is its latest. */
export const RimRecordCreate = exact({
  date: IsoDate,
  rimElevationM: Type.Number({ minimum: -500, maximum: 9000 }),
  pavementElevationM: Type.Optional(nullable(Type.Number({ minimum: -500, maximum: 9000 }))),
  who: Type.Optional(nullable(Type.String({ minLength: 1, maxLength: 100 }))),
  note: Type.Optional(nullable(Type.String({ minLength: 1, maxLength: 500 }))),
});

export type RimSource = (typeof rimSources)[number];
export type RimRecord = Static<typeof RimRecord>;
export type RimRecordCreate = Static<typeof RimRecordCreate>;
