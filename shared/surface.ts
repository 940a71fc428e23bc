import Type, { type Static } from 'typebox';
import {
  exact,
  Moment,
  nullable,
  nullableNumber,
  nullableString,
  oneOf,
  page,
  pageQuery,
  Slug,
} from './schema.ts';

export const shotRoles = ['surface', 'crown', 'edge', 'gutter', 'rim', 'seat'] as const;

export const stages = ['existing', 'milled', 'lift', 'finished'] as const;

const epoch = Type.Unsafe<string | null>({
  type: ['string', 'null'],
  pattern: '^[0-9]{4}-[0-9]{2}-[0-9]{2}$',
  description: 'Day it was measured or issued. Surveys of one stage, day and datum are fitted together.',
});
const lift = nullable(
  Type.Integer({
    minimum: 1,
    maximum: 10,
    description: 'Which lift it is the top of, for the stage `lift`.',
  }),
);

/** One survey of one surface, or a surface of triangles. */
export const Surface = exact({
  id: Slug,
  name: Type.String(),
  form: oneOf(['shots', 'faces'], 'Measured points, or triangles such as a design has.'),
  /** Which surface it was when it was shot. */
  stage: oneOf(stages),
  lift,
  epoch,
  elevationUnit: Type.Unsafe<'m' | 'ft' | 'us-ft' | null>({
    type: ['string', 'null'],
    enum: ['m', 'ft', 'us-ft', null],
    description: 'Of the file that it came from; elevations in this API are metres all the same.',
  }),
  verticalDatum: nullableString('As the file or its user names it; null where nobody said.'),
  method: nullableString('total station, RTK, level, ...'),
  shotCount: Type.Integer(),
  faceCount: Type.Integer(),
  use: oneOf(
    ['survey', 'design', 'treatment', 'none'],
    'What the rule in force takes it for; none: no plan is made from it.',
  ),
  coverCount: Type.Integer({ description: 'Covers whose plan in force has its finished grade from it.' }),
  createdAt: Moment,
  version: Type.Integer({ description: 'The ETag holds it in double quotes.' }),
});

export const SurfacePatch = exact({
  name: Type.Optional(Type.String({ minLength: 1, maxLength: 100 })),
  stage: Type.Optional(oneOf(stages)),
  lift: Type.Optional(lift),
  epoch: Type.Optional(epoch),
  verticalDatum: Type.Optional(nullableString()),
  method: Type.Optional(nullableString()),
});

export const Shot = exact({
  point: Type.String(),
  eastingM: Type.Number(),
  northingM: Type.Number(),
  lon: Type.Number(),
  lat: Type.Number(),
  elevationM: Type.Number(),
  code: Type.String(),
  role: oneOf(shotRoles),
  sigmaM: nullableNumber("From the survey's own record."),
});

export const SurfaceList = exact({ items: Type.Array(Surface) });
export const ShotPage = page(Shot);
export const ShotQuery = exact(pageQuery(5000, 500));

export type Surface = Static<typeof Surface>;
export type SurfacePatch = Static<typeof SurfacePatch>;
export type Shot = Static<typeof Shot>;

/** A shot that a plan is not to be made from any more. */
export const ShotLeftOut = exact({
  seen: Type.Object(
    { eastingM: Type.Number(), northingM: Type.Number(), elevationM: Type.Number() },
    {
      additionalProperties: false,
      description: 'The shot as it is now; refused where somebody changed it meanwhile.',
    },
  ),
  ordinal: Type.Optional(
    Type.Integer({
      minimum: 0,
      description: 'Tells shots of one name apart, in the order of their file; 0 is usual.',
    }),
  ),
  why: Type.String({ minLength: 1, maxLength: 300, description: 'Kept with what the shot was before.' }),
});

export const ShotEdit = exact({
  ...ShotLeftOut.properties,
  elevationM: Type.Number({ minimum: -1000, maximum: 10_000 }),
});

export type ShotLeftOut = Static<typeof ShotLeftOut>;
