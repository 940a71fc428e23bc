import Type, { type Static } from 'typebox';
import { exact } from './schema.ts';

const word = (description: string) =>
  Type.Optional(Type.String({ minLength: 1, maxLength: 200, description }));

/** What tiles may be asked for. All that is given has to be true of a cover. */
export const TileQuery = exact({
  agency: word('May be left out where there is one agency only.'),
  project: word('Covers of this project; without it all structures of the agency.'),
  outside: word('Leaves out those of this project, e.g. to draw the rest of the register round it.'),
  status: word('One or more statuses, separated by commas; `unplanned` for none.'),
  kind: word('As the register has it.'),
  owner: word('As the register has it.'),
  street: word('As the register has it.'),
});

/** TileJSON 3.0.0: where tiles are and what is in them. */
export const TileJson = exact({
  tilejson: Type.String(),
  name: Type.String(),
  description: Type.String(),
  version: Type.String({ description: 'Another one after each change.' }),
  scheme: Type.String(),
  tiles: Type.Array(Type.String()),
  minzoom: Type.Integer(),
  maxzoom: Type.Integer(),
  bounds: Type.Optional(Type.Array(Type.Number(), { description: 'West, south, east, north.' })),
  center: Type.Optional(Type.Array(Type.Number(), { description: 'Longitude, latitude, zoom.' })),
  vector_layers: Type.Array(
    exact({
      id: Type.String(),
      description: Type.String(),
      minzoom: Type.Integer(),
      maxzoom: Type.Integer(),
      fields: Type.Record(Type.String(), Type.String()),
    }),
  ),
});

export type TileQuery = Static<typeof TileQuery>;
export type TileJson = Static<typeof TileJson>;
