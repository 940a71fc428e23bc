import Type, { type Static } from 'typebox';
import {
  EpsgCode,
  exact,
  Moment,
  nullable,
  nullableBoolean,
  nullableNumber,
  nullableString,
  oneOf,
  page,
  pageQuery,
  StructureId,
} from './schema.ts';

export const adjustments = ['rings', 'telescoping'] as const;

/** Unknown is null, never false. */
export const Condition = exact({
  located: nullableBoolean('false: not found or its identity is doubtful.'),
  chimneyUnsound: nullableBoolean('Seat or chimney broken, cracked or leaking.'),
  frameUnsound: nullableBoolean('Frame cracked, rocking or of the wrong class.'),
});

/** Where it is null the plan asks for it to be measured. */
const seatElevation = nullable(Type.Number({ minimum: -500, maximum: 9000 }));
const frameHeight = Type.Number({ exclusiveMinimum: 0, maximum: 2, description: 'Along its own axis.' });
const rimDiameter = Type.Number({ exclusiveMinimum: 0, maximum: 5 });
const setDown = Type.Number({ minimum: -0.5, maximum: 0.5, description: 'Rim wanted this far below grade.' });
const word = (description: string) => Type.String({ minLength: 1, maxLength: 100, description });

/** A casting and what is under it, as the agency's register has it. */
export const Structure = exact({
  id: StructureId,
  kind: Type.String(),
  owner: nullableString(),
  street: nullableString(),
  lon: Type.Number(),
  lat: Type.Number(),
  /** Register point = centre of the seat, metres in the grid of `crs`. */
  crs: EpsgCode,
  eastingM: Type.Number(),
  northingM: Type.Number(),
  seatElevationM: nullableNumber('null where it was never measured.'),
  seatGradientEast: Type.Number(),
  seatGradientNorth: Type.Number(),
  rimElevationM: nullableNumber('null where it was never measured.'),
  frameHeightM: Type.Number(),
  rimDiameterM: Type.Number(),
  roadBearingDeg: nullableNumber('Azimuth up-station; null where unknown.'),
  setDownM: Type.Number(),
  adjustment: oneOf(adjustments),
  condition: Condition,
  structureDepthM: nullableNumber('Rim to invert.'),
  structureDiameterM: nullableNumber('Inside of the barrel.'),
  accessibleRoute: nullableBoolean('The cover lies in an accessible route for pedestrians.'),
  updatedAt: Moment,
  version: Type.Integer({ description: 'The ETag holds it in double quotes.' }),
});

/** One line of a structure's or a cover's history. */
export const HistoryEvent = exact({
  id: Type.Integer(),
  at: Moment,
  kind: oneOf(['created', 'imported', 'changed', 'planned', 'note', 'field']),
  /** Field name -> [before, after] for a change; figures of the event otherwise. */
  detail: Type.Record(Type.String(), Type.Unknown()),
});

export const StructurePage = page(Structure);

/** Structure with what happened to it, the latest first. */
export const StructureCard = Type.Object(
  { ...Structure.properties, history: Type.Array(HistoryEvent) },
  { additionalProperties: false },
);

/** Either `lon` and `lat`, or `crs`, `eastingM` and `northingM`. */
export const StructureCreate = exact({
  id: StructureId,
  kind: word('manhole, valveBox, ... as the agency calls it'),
  owner: Type.Optional(nullableString()),
  street: Type.Optional(nullableString()),
  lon: Type.Optional(Type.Number({ minimum: -180, maximum: 180 })),
  lat: Type.Optional(Type.Number({ minimum: -90, maximum: 90 })),
  crs: Type.Optional(EpsgCode),
  eastingM: Type.Optional(Type.Number()),
  northingM: Type.Optional(Type.Number()),
  seatElevationM: Type.Optional(seatElevation),
  seatGradientEast: Type.Optional(Type.Number({ minimum: -0.3, maximum: 0.3 })),
  seatGradientNorth: Type.Optional(Type.Number({ minimum: -0.3, maximum: 0.3 })),
  rimElevationM: Type.Optional(nullableNumber()),
  frameHeightM: frameHeight,
  rimDiameterM: rimDiameter,
  roadBearingDeg: Type.Optional(nullableNumber()),
  setDownM: Type.Optional(setDown),
  adjustment: Type.Optional(oneOf(adjustments)),
  condition: Type.Optional(Condition),
  structureDepthM: Type.Optional(nullableNumber()),
  structureDiameterM: Type.Optional(nullableNumber()),
  accessibleRoute: Type.Optional(nullableBoolean()),
  /** Project that the new structure becomes a cover of. */
  projectId: Type.Optional(Type.String()),
});

export const StructurePatch = exact({
  kind: Type.Optional(word('as the agency calls it')),
  owner: Type.Optional(nullableString()),
  street: Type.Optional(nullableString()),
  seatElevationM: Type.Optional(seatElevation),
  seatGradientEast: Type.Optional(Type.Number({ minimum: -0.3, maximum: 0.3 })),
  seatGradientNorth: Type.Optional(Type.Number({ minimum: -0.3, maximum: 0.3 })),
  rimElevationM: Type.Optional(nullableNumber()),
  frameHeightM: Type.Optional(frameHeight),
  rimDiameterM: Type.Optional(rimDiameter),
  roadBearingDeg: Type.Optional(nullableNumber()),
  setDownM: Type.Optional(setDown),
  adjustment: Type.Optional(oneOf(adjustments)),
  condition: Type.Optional(Condition),
  structureDepthM: Type.Optional(nullableNumber()),
  structureDiameterM: Type.Optional(nullableNumber()),
  accessibleRoute: Type.Optional(nullableBoolean()),
});

export const StructureQuery = exact({
  ...pageQuery(2000, 100),
  q: Type.Optional(Type.String({ maxLength: 100, description: 'Part of the id, the street or the owner.' })),
  kind: Type.Optional(Type.String({ maxLength: 100 })),
  owner: Type.Optional(Type.String({ maxLength: 100 })),
  street: Type.Optional(Type.String({ maxLength: 100 })),
});

export type Structure = Static<typeof Structure>;
export type StructureCreate = Static<typeof StructureCreate>;
export type StructureCard = Static<typeof StructureCard>;
export type StructurePatch = Static<typeof StructurePatch>;
export type StructureQuery = Static<typeof StructureQuery>;
export type HistoryEvent = Static<typeof HistoryEvent>;
