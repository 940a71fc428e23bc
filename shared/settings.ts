import Type, { type Static } from 'typebox';
import { exact, nullableString } from './schema.ts';

/** What a page needs to know of the server that it came from. */
export const Settings = exact({
  version: Type.String(),
  basemapStyleUrl: nullableString('MapLibre style drawn under the map; null: streets and covers alone.'),
});

export const Health = exact({ status: Type.Literal('ok'), database: Type.Literal('ok') });

/** Whether a proxy may send people here. */
export const Ready = exact({
  status: Type.Literal('ready'),
  database: Type.Literal('ok'),
  tables: Type.Literal('ok'),
  queue: Type.Literal('ok'),
});

export type Settings = Static<typeof Settings>;
