import Type, { type Static } from 'typebox';
import { IsoDate, RimRecord } from './rim-record.ts';
import { exact, nullable, nullableNumber, nullableString, oneOf, StructureId } from './schema.ts';
import { ZoneGeometry } from './treatment.ts';

export const overlayAnswers = ['yes', 'no', 'unknown'] as const;

/** Why; worded by core/register/overlayWords.ts from its figures (metres). */
export const overlayReasons = [
  'fits',
  'chimneyUnsound',
  'chimneyLimit',
  'millStrikes',
  'notLocated',
  'frameUnsound',
  'telescoping',
  'noSeat',
  'noRim',
  'belowSeat',
] as const;

const thickness = Type.Number({
  exclusiveMinimum: 0,
  maximum: 0.5,
  description: 'Of the overlay, compacted.',
});
const mill = Type.Number({ minimum: 0, maximum: 0.5, description: 'Milled off before.' });
const clearance = Type.Number({
  minimum: 0,
  maximum: 0.2,
  description: "Over a rim; default: the project's own, else 0.",
});
const chimney = Type.Number({
  exclusiveMinimum: 0,
  maximum: 5,
  description: 'In place of the limit in force.',
});
const project = Type.String({
  minLength: 1,
  maxLength: 63,
  description: 'Covers of this project only, with its limits.',
});

/** The limit that the height from seat to frame is held to, and whose it is. */
export const ChimneyLimit = exact({
  valueM: Type.Number(),
  from: oneOf(['asked', 'project', 'agency', 'catalogue', 'default']),
  ringCatalogueId: nullableString("null where it is no catalogue's."),
});

/** The overlay that was asked about. */
export const OverlayAsked = exact({
  thicknessM: Type.Number(),
  millM: Type.Number(),
  millClearanceM: Type.Number(),
});

/** What the next overlay means for one structure. */
export const OverlayAnswer = exact({
  answer: oneOf(overlayAnswers),
  reason: oneOf(overlayReasons),
  values: Type.Record(Type.String(), Type.Number()),
  text: Type.String({ description: "The reason in words, in the project's or agency's unit." }),
  buildupM: nullableNumber('Seat to underside of frame now, joints included.'),
  remainingM: nullableNumber('Raise left to the chimney limit; below 0: past it.'),
  afterM: nullableNumber('Chimney after this overlay.'),
  overlaysLeft: nullable(
    Type.Integer({ description: 'So many overlays like this one fit in; null: no end, or not known.' }),
  ),
});

export const OverlayRow = Type.Object(
  {
    id: Type.String(),
    kind: Type.String(),
    owner: nullableString(),
    street: nullableString(),
    lon: Type.Number(),
    lat: Type.Number(),
    ...OverlayAnswer.properties,
  },
  { additionalProperties: false },
);

export const OverlayPage = exact({
  overlay: OverlayAsked,
  limit: ChimneyLimit,
  total: Type.Integer({ description: 'Structures asked about.' }),
  counts: exact({ yes: Type.Integer(), no: Type.Integer(), unknown: Type.Integer() }),
  reasons: Type.Record(Type.String(), Type.Integer(), { description: 'Structures by reason.' }),
  items: Type.Array(OverlayRow),
  next: nullableString(
    'GET: address of the next page. POST: to be sent as `after` with the same body. null on the last page.',
  ),
});

const street = Type.String({ minLength: 1, maxLength: 100 });
const after = Type.String({ maxLength: 200, description: 'Opaque; taken from `next`.' });

const overlayQuery = {
  thicknessM: thickness,
  millM: Type.Optional(mill),
  millClearanceM: Type.Optional(clearance),
  maxChimneyM: Type.Optional(chimney),
  project: Type.Optional(project),
  street: Type.Optional(
    Type.Union([street, Type.Array(street, { maxItems: 200 })], { description: 'May come several times.' }),
  ),
  polygon: Type.Optional(
    Type.String({ maxLength: 8000, description: 'Corners "lon,lat lon,lat ...", not closed.' }),
  ),
  answer: Type.Optional(oneOf(overlayAnswers)),
};

/** Without streets and polygon: the whole register, or all of the project. */
export const OverlayQuery = exact({
  ...overlayQuery,
  after: Type.Optional(after),
  limit: Type.Optional(Type.Integer({ minimum: 1, maximum: 5000, default: 500 })),
});

/** The same question of tiles. */
export const OverlayTileQuery = exact(overlayQuery);

export const OverlayBody = exact({
  thicknessM: thickness,
  millM: Type.Optional(mill),
  millClearanceM: Type.Optional(clearance),
  maxChimneyM: Type.Optional(chimney),
  project: Type.Optional(project),
  streets: Type.Optional(Type.Array(street, { minItems: 1, maxItems: 200 })),
  polygon: Type.Optional(ZoneGeometry),
  answer: Type.Optional(oneOf(overlayAnswers)),
  after: Type.Optional(after),
  limit: Type.Optional(Type.Integer({ minimum: 1, maximum: 5000 })),
});

export const rimSteps = ['rebuilt', 'reframed', 'raised', 'lowered', 'settled', 'same'] as const;

/** One step of the rim from one record to the next. */
export const Raise = exact({
  from: IsoDate,
  to: IsoDate,
  byM: Type.Number({ description: '+ is up.' }),
  did: oneOf(
    rimSteps,
    'same: within 5 mm; settled: lower by at most 25 mm; rebuilt, reframed: another seat, frame.',
  ),
  note: nullableString(),
});

/** Rate at which the rim moves against the pavement beside it, + = the rim rises against it. */
export const SettlementTrend = exact({
  epochs: Type.Integer({ description: 'Records with both rim and pavement since the rim was last moved.' }),
  ratePerYearM: nullableNumber('null: fewer than three epochs, or all on one day.'),
  sigmaPerYearM: nullableNumber('Standard error of the rate.'),
  text: Type.String(),
});

/** Where a structure stands and what is left of its chimney. */
export const StructureOutlook = exact({
  structureId: StructureId,
  records: Type.Array(RimRecord),
  raises: Type.Array(Raise),
  limit: ChimneyLimit,
  overlay: OverlayAsked,
  next: OverlayAnswer,
  trend: SettlementTrend,
});

export const StructureOutlookQuery = exact({
  thicknessM: Type.Optional(thickness),
  millM: Type.Optional(mill),
  millClearanceM: Type.Optional(clearance),
  maxChimneyM: Type.Optional(chimney),
  project: Type.Optional(project),
});

export type ChimneyLimit = Static<typeof ChimneyLimit>;
export type OverlayAsked = Static<typeof OverlayAsked>;
export type OverlayAnswer = Static<typeof OverlayAnswer>;
export type OverlayRow = Static<typeof OverlayRow>;
export type OverlayPage = Static<typeof OverlayPage>;
export type OverlayQuery = Static<typeof OverlayQuery>;
export type OverlayBody = Static<typeof OverlayBody>;
export type Raise = Static<typeof Raise>;
export type SettlementTrend = Static<typeof SettlementTrend>;
export type StructureOutlook = Static<typeof StructureOutlook>;
export type StructureOutlookQuery = Static<typeof StructureOutlookQuery>;
