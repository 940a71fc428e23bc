import Type, { type Static } from 'typebox';
import { exact, nullable, nullableNumber, nullableOneOf, nullableString, oneOf } from './schema.ts';

export const planningStatuses = [
  'unsurveyed',
  'remeasure',
  'review',
  'rebuild',
  'lower',
  'raise',
  'leave',
] as const;

export const allowances = ['met', 'notMet', 'off'] as const;

export const PlacedRing = exact({
  ring: Type.String(),
  azimuthDeg: nullableNumber('Azimuth of the thick side; null for a flat ring.'),
});

export const Residual = exact({
  worstM: Type.Number({ description: 'Largest absolute rim error, without the allowance for survey.' }),
  centreM: Type.Number({ description: 'Error at the axis, + is proud.' }),
  tiltM: Type.Number({ description: 'Gradient error times rim radius, at least 0.' }),
});

export const FinishedGrade = exact({
  elevationM: Type.Number(),
  gradientEast: Type.Number(),
  gradientNorth: Type.Number(),
  sigmaM: Type.Number(),
  sigmaRimM: Type.Number(),
  method: Type.String(),
  surface: Type.String(),
  shotsUsed: Type.Integer(),
  points: Type.Array(Type.String()),
  rejected: Type.Array(exact({ point: Type.String(), residualM: Type.Number() })),
  reachM: Type.Number(),
  nearestM: Type.Number(),
  breakLine: nullable(exact({ kind: Type.String(), distanceM: Type.Number(), azimuthDeg: Type.Number() })),
  unitVariance: Type.Number({ description: '1 where the shots scatter as their sigmas say.' }),
  misfitM: Type.Number(),
});

/** Code and figures (metres, radians) of one reason; worded by core/decision/words.ts. */
export const Reason = exact({
  code: Type.String(),
  values: Type.Record(Type.String(), Type.Unsafe<number | string>({ type: ['number', 'string'] })),
});

export const RunnerUp = exact({
  stack: Type.Array(PlacedRing),
  residual: Residual,
  chimneyM: Type.Number(),
  topGradientEast: Type.Number(),
  topGradientNorth: Type.Number(),
  allowance: oneOf(allowances),
});

/** The surface that a finished grade came from. */
export const PlanSource = exact({
  from: oneOf(['survey', 'design', 'treatment']),
  /** Ids of the project's surfaces; several where they were fitted together. */
  surfaces: Type.Array(Type.String()),
  stage: oneOf(['existing', 'milled', 'lift', 'finished']),
  lift: nullable(Type.Integer()),
  zone: nullableString('Id of the treatment zone that the cover is in.'),
});

/** The surface over the cover's centre at one stage of the work. */
export const StageElevation = exact({
  stage: oneOf(['existing', 'milled', 'lift', 'finished']),
  lift: nullable(Type.Integer()),
  elevationM: Type.Number(),
});

/** core's CoverPlan at the edge: metres, degrees. */
export const CoverPlan = exact({
  revision: Type.Integer({ description: 'Revision of the plan that this cover was last computed in.' }),
  status: oneOf(planningStatuses),
  reasons: Type.Array(Reason),
  finished: nullable(FinishedGrade),
  netBuildupM: nullableNumber(),
  rimErrorM: nullableNumber('Rim now minus target at the centre, + is proud.'),
  stack: Type.Array(PlacedRing),
  residual: nullable(Residual),
  allowance: oneOf(allowances),
  runnerUp: nullable(RunnerUp),
  thickRopeM: Type.Optional(
    Type.Number({
      description:
        'Pressed thickness of the thick rope that the joints at bottom and top count; absent for none.',
    }),
  ),
  source: nullable(PlanSource),
  /** Lowest first, as far as they are known: what to raise a frame to on the way. */
  stageElevations: Type.Array(StageElevation),
});

export const nullableAllowance = nullableOneOf(allowances);

export type PlacedRing = Static<typeof PlacedRing>;
export type Residual = Static<typeof Residual>;
export type FinishedGrade = Static<typeof FinishedGrade>;
export type Reason = Static<typeof Reason>;
export type CoverPlan = Static<typeof CoverPlan>;
