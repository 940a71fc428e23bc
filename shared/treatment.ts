import Type, { type Static } from 'typebox';
import { exact, nullable, Slug } from './schema.ts';

export const MillDepth = Type.Number({ minimum: 0, maximum: 0.5 });

/** Compacted thicknesses, bottom lift first; [] where nothing is laid. */
export const Lifts = Type.Array(Type.Number({ exclusiveMinimum: 0, maximum: 0.5 }), {
  maxItems: 10,
  description: 'Compacted thickness of each lift, bottom first; [] where nothing is laid.',
});

export const SetDown = Type.Number({
  minimum: 0,
  maximum: 0.1,
  description: 'How far below the surface rims are set whose own record asks for none.',
});

const LonLat = Type.Array(Type.Number(), { minItems: 2, maxItems: 3 });
const LinearRing = Type.Array(LonLat, { minItems: 4 });

/** GeoJSON (RFC 7946) in longitude and latitude; the first ring of a polygon is its outer one, others are holes. */
export const ZoneGeometry = Type.Union([
  exact({ type: Type.Literal('Polygon'), coordinates: Type.Array(LinearRing, { minItems: 1 }) }),
  exact({
    type: Type.Literal('MultiPolygon'),
    coordinates: Type.Array(Type.Array(LinearRing, { minItems: 1 }), { minItems: 1 }),
  }),
]);

const properties = {
  name: Type.String({ minLength: 1, maxLength: 200 }),
  millDepthM: MillDepth,
  liftsM: Lifts,
  setDownM: nullable(SetDown),
  millClearanceM: nullable(
    Type.Number({ minimum: 0, maximum: 0.5, description: "null: the project's own." }),
  ),
  maxRiserM: nullable(
    Type.Number({ minimum: 0, maximum: 0.5, description: "0: no risers; null: the project's own." }),
  ),
};

/** A part of a project that gets one treatment. */
export const TreatmentZone = exact({
  id: Slug,
  ...properties,
  geometry: ZoneGeometry,
  areaM2: Type.Number({ description: 'In the grid.' }),
  coverCount: Type.Integer({ description: 'Covers of the project whose centre is in it, edges with them.' }),
  version: Type.Integer({ description: 'The ETag holds it in double quotes.' }),
});

const { name, millDepthM, liftsM, setDownM, millClearanceM, maxRiserM } = properties;

export const TreatmentZoneCreate = exact({
  id: Slug,
  name,
  geometry: ZoneGeometry,
  millDepthM,
  liftsM,
  setDownM: Type.Optional(setDownM),
  millClearanceM: Type.Optional(millClearanceM),
  maxRiserM: Type.Optional(maxRiserM),
});

export const TreatmentZonePatch = exact({
  name: Type.Optional(name),
  geometry: Type.Optional(ZoneGeometry),
  millDepthM: Type.Optional(millDepthM),
  liftsM: Type.Optional(liftsM),
  setDownM: Type.Optional(setDownM),
  millClearanceM: Type.Optional(millClearanceM),
  maxRiserM: Type.Optional(maxRiserM),
});

export const TreatmentZoneList = exact({ items: Type.Array(TreatmentZone) });

export type ZoneGeometry = Static<typeof ZoneGeometry>;
export type TreatmentZone = Static<typeof TreatmentZone>;
export type TreatmentZoneCreate = Static<typeof TreatmentZoneCreate>;
export type TreatmentZonePatch = Static<typeof TreatmentZonePatch>;
