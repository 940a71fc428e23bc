import Type, { type Static } from 'typebox';
import { EpsgCode, exact } from './schema.ts';

/** A projected system of the EPSG register that a project can lie in. */
export const CrsFound = exact({
  code: EpsgCode,
  name: Type.String(),
  area: Type.String({ description: 'Where it is meant to be used, in words.' }),
  unitName: Type.String(),
});

export const CrsList = exact({ items: Type.Array(CrsFound) });

export const CrsQuery = exact({
  q: Type.String({ minLength: 1, maxLength: 200, description: 'A code, or words of its name or area.' }),
});

export type CrsFound = Static<typeof CrsFound>;
