import Type, { type Static } from 'typebox';
import { exact, nullableString, oneOf } from './schema.ts';

/**
 * `centre`: up-station is the way it is drawn, and covers take their road bearing from it. `crown` and `gutter`: the
 * surface bends there, so a cover gets the plane of its own side. Planning uses no line of another kind.
 */
export const lineKinds = ['centre', 'crown', 'gutter', 'edge', 'other'] as const;

/** An uploaded line as a GeoJSON feature (RFC 7946), lon/lat with the elevation in metres where it has one. */
export const LineFeature = exact({
  type: Type.Literal('Feature'),
  id: Type.String(),
  geometry: exact({
    type: Type.Literal('LineString'),
    coordinates: Type.Array(Type.Array(Type.Number(), { minItems: 2, maxItems: 3 })),
  }),
  properties: exact({
    name: Type.String(),
    kind: oneOf(lineKinds),
    street: nullableString('Street it belongs to, as the register writes it.'),
    lengthM: Type.Number({ description: 'In plan, in the grid.' }),
    use: oneOf(['bearing', 'breakLine', 'none'], 'What planning takes it for.'),
    version: Type.Integer({ description: 'The ETag holds it in double quotes.' }),
  }),
});

export const LineCollection = exact({
  type: Type.Literal('FeatureCollection'),
  features: Type.Array(LineFeature),
});

export const LinePatch = exact({
  kind: Type.Optional(oneOf(lineKinds)),
  name: Type.Optional(Type.String({ minLength: 1, maxLength: 200 })),
  street: Type.Optional(nullableString()),
});

export type LineKind = (typeof lineKinds)[number];
export type LineFeature = Static<typeof LineFeature>;
export type LineCollection = Static<typeof LineCollection>;
