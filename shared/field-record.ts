import Type, { type Static, type TSchema } from 'typebox';
import type { AnyKept, AnyMade, RecordKind } from '#core/field/facts.ts';
import { PlacedRing } from './plan.ts';
import {
  exact,
  Moment,
  nullable,
  nullableNumber,
  nullableString,
  oneOf,
  page,
  pageQuery,
  StructureId,
} from './schema.ts';

/** Records from the field: append-only, made by the device that sends them. Schemas of core/field/facts.ts. */

const words = (most: number, least = 0) => Type.String({ minLength: least, maxLength: most });
const reason = words(500);
const small = Type.Number({ minimum: -2, maximum: 2 });
const size = Type.Number({ minimum: 0, maximum: 2 });
const elevation = Type.Unsafe<number | null>({ type: ['number', 'null'], minimum: -500, maximum: 9000 });
const clock = <Schema extends Parameters<typeof Type.Array>[0]>(value: Schema) =>
  Type.Tuple([value, value, value, value], { description: "12, 3, 6 and 9 o'clock looking up-station." });
const ringsInPlace = Type.Array(PlacedRing, { maxItems: 50 });
const Uuid = Type.String({ format: 'uuid' });
const ties = Type.Array(
  exact({ to: words(100, 1), distanceM: Type.Number({ exclusiveMinimum: 0, maximum: 200 }) }),
  {
    maxItems: 6,
  },
);
const line = exact({
  gapM: size,
  proudM: size,
  readings: Type.Optional(
    Type.Array(
      exact({
        atM: Type.Number({ minimum: 0, maximum: 10 }),
        downM: size,
        on: oneOf(['mat', 'casting']),
      }),
      { minItems: 3, maxItems: 50, description: 'Along the edge from its near end; 0 down where it rests.' },
    ),
  ),
});
const hours = Type.Number({ minimum: 0, maximum: 1000 });

export const factSchemas = {
  found: exact({ outcome: oneOf(['found', 'notFound', 'buried', 'otherOwner']), ties, note: reason }),
  plated: exact({ plate: words(60, 1), rimElevationM: elevation, ties }),
  reopened: exact({ plate: words(60) }),
  liftReached: exact({
    stage: oneOf(['milled', 'lift', 'finished']),
    lift: nullable(Type.Integer({ minimum: 1, maximum: 20 })),
    way: oneOf(['raised', 'leftPlated', 'leftLow']),
    rimElevationM: elevation,
  }),
  stackChosen: exact({
    because: oneOf(['tapes', 'truck', 'seal', 'other']),
    reason,
    tapes: nullable(
      exact({
        asTyped: clock(words(40)),
        downM: clock(small),
        radiusM: Type.Number({ exclusiveMinimum: 0, maximum: 5 }),
        bearingDeg: Type.Number({ minimum: 0, maximum: 360 }),
        misclosureM: small,
      }),
    ),
    truck: nullable(
      Type.Array(exact({ ring: words(64, 1), count: Type.Integer({ minimum: 0, maximum: 10_000 }) }), {
        maxItems: 200,
      }),
    ),
    jointM: exact({ base: size, between: size, top: size }),
    stack: ringsInPlace,
    worstM: size,
    centreM: small,
    tiltM: size,
    planRevision: nullable(Type.Integer({ minimum: 1 })),
    planStack: ringsInPlace,
  }),
  dryStacked: exact({ rimErrorsM: clock(small), marked: Type.Boolean() }),
  ringsUsed: exact({ stack: ringsInPlace, asChosen: Type.Boolean(), reason }),
  sealed: exact({
    joints: Type.Array(
      exact({
        joint: Type.Integer({ minimum: 0, maximum: 50 }),
        form: oneOf(['bead', 'rope']),
        product: words(100),
        sizeM: Type.Number({ exclusiveMinimum: 0, maximum: 0.2 }),
        count: Type.Integer({ minimum: 1, maximum: 10 }),
        endsJoined: Type.Boolean(),
      }),
      { minItems: 1, maxItems: 51 },
    ),
  }),
  spigotTrimmed: exact({
    rings: Type.Array(words(64, 1), { maxItems: 50 }),
    why: oneOf(['openingTooSmall', 'offCentre']),
  }),
  seatSeen: exact({ surface: oneOf(['even', 'rough']) }),
  mortarBed: exact({ thicknessM: size, why: reason, cureHours: hours }),
  frameSet: exact({ centred: Type.Boolean(), offsetM: nullableNumber() }),
  backfilled: exact({ material: words(100, 1) }),
  collarPlaced: exact({
    material: oneOf(['concrete', 'asphalt']),
    mix: words(100),
    pouredAt: Moment,
    cureHours: hours,
  }),
  rimChecked: exact({
    method: oneOf(['string', 'level', 'totalStation', 'gnss']),
    rimErrorsM: clock(small),
    sigmaM: size,
  }),
  straightedge: exact({
    lengthM: Type.Number({ exclusiveMinimum: 0, maximum: 10 }),
    along: line,
    across: nullable(line),
  }),
  bevelled: exact({ riseM: size, runM: Type.Number({ exclusiveMinimum: 0, maximum: 2 }) }),
  vacuum: exact({
    tableId: nullableString(),
    scope: oneOf(['structure', 'chimney']),
    diameterM: nullableNumber(),
    depthM: nullableNumber(),
    headAt: oneOf(['frame', 'topRing', 'seat']),
    frameInPlace: Type.Boolean(),
    startInHg: nullableNumber(),
    endInHg: nullableNumber(),
    seconds: nullableNumber(),
    requiredSeconds: nullableNumber(),
    gauge: words(60),
    outcome: oneOf(['passed', 'failed', 'notTested']),
    reason,
  }),
  photo: exact({
    sha256: Type.String({ pattern: '^[0-9a-f]{64}$' }),
    bytes: Type.Integer({ minimum: 1, maximum: 50_000_000 }),
    mediaType: oneOf(['image/jpeg', 'image/png', 'image/webp']),
    caption: words(200),
  }),
  accepted: exact({ accepted: Type.Boolean(), reasons: Type.Array(reason, { maxItems: 50 }), reason }),
  note: exact({ text: words(2000, 1) }),
  withdrawn: exact({ record: Uuid, reason: words(500, 1) }),
  settled: exact({
    keep: Uuid,
    over: Type.Array(Uuid, { minItems: 1, maxItems: 20 }),
    reason: words(500, 1),
  }),
} satisfies Record<RecordKind, TSchema>;

/** `facts` are checked against `factSchemas[kind]` record by record, so that one unfit record does not hold up the others. */
export const FieldRecordCreate = exact({
  id: Uuid,
  structureId: StructureId,
  kind: oneOf(Object.keys(factSchemas) as RecordKind[]),
  facts: Type.Record(Type.String(), Type.Unknown()),
  by: words(100, 1),
  device: Uuid,
  deviceTime: Moment,
  seen: Type.Integer({ minimum: 0 }),
});

/** In the order in which the device made them. */
export const FieldRecordBatch = exact({
  records: Type.Array(FieldRecordCreate, { minItems: 1, maxItems: 200 }),
});

export const recordOutcomes = ['stored', 'alreadyThere', 'refused'] as const;

/** One answer for each record that was sent, in the same order. */
export const FieldRecordReceipt = exact({
  items: Type.Array(
    exact({
      id: Uuid,
      outcome: oneOf(recordOutcomes),
      seq: nullable(Type.Integer({ description: 'null for a refused one.' })),
      receivedAt: nullable(Moment),
      message: nullableString(
        'Why it was refused; the device keeps it and shows this. Of a stored one: what is to be said of it.',
      ),
    }),
  ),
});

export const FieldRecord = Type.Object(
  {
    ...FieldRecordCreate.properties,
    seq: Type.Integer({ description: "Position in the project's order of receipt." }),
    receivedAt: Moment,
  },
  { additionalProperties: false },
);

/** In the order of `seq`; `next` stands for what came after. */
export const FieldRecordPage = page(FieldRecord);

export const FieldRecordQuery = exact({
  ...pageQuery(2000, 500),
  since: Type.Optional(Type.Integer({ minimum: 0, description: 'Only records with a greater `seq`.' })),
  structure: Type.Optional(StructureId),
});

/** Data of a `record` event of /projects/{project}/events: records of these covers came in. */
export const RecordsCame = exact({
  projectId: Type.String(),
  lastSeq: Type.Integer(),
  structureIds: Type.Array(Type.String(), { description: 'At most 200; empty: more than that.' }),
});

export type FieldRecordCreate = AnyMade;
export type FieldRecord = AnyKept;
export type FieldRecordBatch = { records: AnyMade[] };
export type FieldRecordReceipt = Static<typeof FieldRecordReceipt>;
export type FieldRecordQuery = Static<typeof FieldRecordQuery>;
export type RecordsCame = Static<typeof RecordsCame>;
