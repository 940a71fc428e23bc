import Type, { type Static } from 'typebox';
import { NewStack } from './new-stack.ts';
import { CoverPlan, nullableAllowance, PlacedRing, planningStatuses } from './plan.ts';
import { Limits } from './policy.ts';
import { nullableDate } from './rim-record.ts';
import { RingCatalogue } from './ring-catalogue.ts';
import {
  exact,
  Moment,
  nullable,
  nullableNumber,
  nullableOneOf,
  nullableString,
  oneOf,
  page,
  pageQuery,
} from './schema.ts';
import { fieldStatuses } from './status.ts';
import { HistoryEvent, Structure } from './structure.ts';
import { Shot } from './surface.ts';

/** What a list of covers may be sorted by; `street` is street, then station. */
export const coverSorts = ['id', 'street', 'status', 'netBuildup', 'worst', 'remaining'] as const;

/** A cover of a project as the map and the table need it. `status` is null until it has been planned. */
export const CoverRow = exact({
  id: Type.String(),
  kind: Type.String(),
  owner: nullableString(),
  street: nullableString(),
  stationM: nullableNumber("Along its street's centre line, up-station."),
  offsetM: nullableNumber('From the centre line, + is right looking up-station.'),
  lon: Type.Number(),
  lat: Type.Number(),
  status: nullableOneOf(planningStatuses),
  rimErrorM: nullableNumber('Rim now minus target, + is proud.'),
  netBuildupM: nullableNumber(),
  stack: Type.Array(PlacedRing),
  worstM: nullableNumber('Largest absolute rim error of the planned stack.'),
  thickRopeM: CoverPlan.properties.thickRopeM,
  sigmaRimM: nullableNumber('Standard deviation of the finished grade at the rim.'),
  allowance: nullableAllowance,
  telescoping: Type.Boolean(),
  buildupM: nullableNumber(
    'Seat to underside of frame now, joints included; null where no rim was measured.',
  ),
  remainingM: nullableNumber('Raise left to the chimney limit; below 0: past it.'),
  planStale: Type.Boolean({ description: 'Inputs changed after the stack was put together in the field.' }),
  fieldStatus: nullableOneOf(fieldStatuses),
  conflict: Type.Optional(
    Type.Boolean({ description: 'Records from the field contradict each other; nobody settled it.' }),
  ),
  crew: nullableString(),
  night: nullableDate,
});

export const CoverPage = exact({
  ...page(CoverRow).properties,
  previous: nullableString('Address of the page before; null where this one begins the list.'),
});

const from = (what: string) =>
  Type.Optional(Type.Number({ description: `${what} of at least this, metres.` }));
const below = (what: string) => Type.Optional(Type.Number({ description: `${what} below this, metres.` }));

/**
 * Ranges of planned lengths; a cover without the length is in none. Where the casting stays or its chimney is built anew no
 * stack is put together: such a cover has no rim error to ask for.
 */
export const CoverRanges = {
  netBuildupFromM: from('Net buildup'),
  netBuildupBelowM: below('Net buildup'),
  worstFromM: from('Worst rim error'),
  worstBelowM: below('Worst rim error'),
};

const place = (description: string) => Type.Optional(Type.String({ maxLength: 600, description }));

/** What a list of covers, tiles or a takeoff are held to: all that is given has to be true. */
export const coverFilter = {
  status: Type.Optional(
    Type.String({
      maxLength: 200,
      description: 'One or more statuses, separated by commas; `unplanned` for none.',
    }),
  ),
  q: Type.Optional(Type.String({ maxLength: 100 })),
  kind: Type.Optional(Type.String({ maxLength: 100 })),
  owner: Type.Optional(Type.String({ maxLength: 100 })),
  street: Type.Optional(Type.String({ maxLength: 100 })),
  crew: Type.Optional(Type.String({ maxLength: 100, description: 'Blank: covers of no crew.' })),
  night: Type.Optional(
    Type.String({ pattern: '^(\\d{4}-\\d{2}-\\d{2})?$', description: 'YYYY-MM-DD; blank: of no night.' }),
  ),
  conflict: Type.Optional(oneOf(['yes', 'no'], 'Whether records from the field contradict each other.')),
  ...CoverRanges,
  polygon: Type.Optional(
    Type.String({ maxLength: 8000, description: 'Corners "lon,lat lon,lat ...", not closed.' }),
  ),
};

/** What tiles of chosen covers are asked for. */
export const CoverTileQuery = exact(coverFilter);

export const CoverQuery = exact({
  ...pageQuery(2000, 500),
  after: place('Opaque; taken from `next`.'),
  before: place('Opaque; taken from `previous`.'),
  at: Type.Optional(
    Type.String({
      minLength: 1,
      maxLength: 100,
      description:
        'In the order of streets or ids: the page begins at the first cover whose street, or id, begins so; it is empty where none does.',
    }),
  ),
  ...coverFilter,
  sort: Type.Optional(oneOf(coverSorts, 'Unknown values last, whatever the direction; default: id.')),
  direction: Type.Optional(oneOf(['up', 'down'])),
});

export const NearShot = Type.Object(
  {
    ...Shot.properties,
    surface: Type.String(),
    distanceM: Type.Number({ description: "Horizontal, from the cover's register point." }),
    use: nullableOneOf(['used', 'rejected'], 'null: the plan did not use it.'),
  },
  { additionalProperties: false },
);

/** One plan that this cover has had. */
export const PlanVersion = exact({
  revision: Type.Integer(),
  at: Moment,
  status: Type.String(),
  netBuildupM: nullableNumber(),
  worstM: nullableNumber(),
  sigmaRimM: nullableNumber(),
});

/** Everything that is known of a cover in a project. */
export const CoverCard = exact({
  structure: Structure,
  projectId: Type.String(),
  stationM: nullableNumber(),
  offsetM: nullableNumber(),
  /** The bearing used: the register's own, else that of the street's centre line. */
  roadBearingDeg: nullableNumber(),
  /** Grid position in the project's CRS, metres. */
  eastingM: Type.Number(),
  northingM: Type.Number(),
  plan: nullable(CoverPlan),
  planStale: Type.Boolean({
    description: 'Inputs changed since the plan, or after the stack was put together in the field.',
  }),
  fieldStatus: nullableOneOf(fieldStatuses),
  conflict: Type.Optional(Type.Boolean({ description: 'As in the list.' })),
  newStack: Type.Optional(nullable(NewStack)),
  crew: nullableString(),
  night: nullableDate,
  limits: Limits,
  ringCatalogue: nullable(RingCatalogue),
  shots: Type.Array(NearShot),
  plans: Type.Array(PlanVersion),
  history: Type.Array(HistoryEvent),
});

export type CoverPage = Static<typeof CoverPage>;
export type CoverRow = Static<typeof CoverRow>;
export type CoverCard = Static<typeof CoverCard>;
export type CoverQuery = Static<typeof CoverQuery>;
export type NearShot = Static<typeof NearShot>;
export type PlanVersion = Static<typeof PlanVersion>;
