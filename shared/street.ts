import Type, { type Static } from 'typebox';
import { exact, nullable } from './schema.ts';

/** GeoJSON (RFC 7946) centre lines, lon/lat, drawn up-station. */
export const StreetCollection = exact({
  type: Type.Literal('FeatureCollection'),
  features: Type.Array(
    exact({
      type: Type.Literal('Feature'),
      id: Type.String(),
      geometry: exact({
        type: Type.Literal('LineString'),
        coordinates: Type.Array(Type.Array(Type.Number(), { minItems: 2, maxItems: 2 })),
      }),
      properties: exact({
        name: Type.String(),
        widthM: nullable(Type.Number({ description: 'Edge to edge of the pavement.' })),
      }),
    }),
  ),
});

export type StreetCollection = Static<typeof StreetCollection>;
