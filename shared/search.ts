import Type, { type Static } from 'typebox';
import { exact, nullableString, oneOf } from './schema.ts';

export const SearchQuery = exact({
  q: Type.String({
    minLength: 1,
    maxLength: 100,
    description: 'Beginning or part of an id, a street or an owner.',
  }),
  limit: Type.Optional(Type.Integer({ minimum: 1, maximum: 50, default: 20 })),
});

/** A structure that was found, with every project that it is a cover of. */
export const FoundStructure = exact({
  id: Type.String(),
  kind: Type.String(),
  owner: nullableString(),
  street: nullableString(),
  lon: Type.Number(),
  lat: Type.Number(),
  projects: Type.Array(Type.String(), { description: 'Ids, the one made last first.' }),
  match: oneOf(
    ['id', 'start', 'part'],
    'The whole id, its beginning, or a part: looked for where no id begins so and no name holds the text.',
  ),
});

/** A street or an owner: what a filter by it takes, and where its structures lie. */
export const FoundName = exact({
  name: Type.String(),
  structures: Type.Integer(),
  boundsLonLat: Type.Array(Type.Number(), {
    minItems: 4,
    maxItems: 4,
    description: 'West, south, east, north.',
  }),
});

export const FoundOwner = exact({ name: Type.String(), structures: Type.Integer() });

export const SearchResult = exact({
  structures: Type.Array(FoundStructure),
  streets: Type.Array(FoundName),
  owners: Type.Array(FoundOwner),
  more: Type.Boolean({ description: 'There are more structures than were asked for.' }),
});

export type SearchQuery = Static<typeof SearchQuery>;
export type FoundStructure = Static<typeof FoundStructure>;
export type FoundName = Static<typeof FoundName>;
export type FoundOwner = Static<typeof FoundOwner>;
export type SearchResult = Static<typeof SearchResult>;
