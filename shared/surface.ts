import Type, { type Static } from 'typebox';
import { exact, Moment, nullableNumber, nullableString, oneOf, page, pageQuery, Slug } from './schema.ts';

export const shotRoles = ['surface', 'crown', 'edge', 'gutter', 'rim', 'seat'] as const;

/** One survey of one surface. */
export const Surface = exact({
  id: Slug,
  name: Type.String(),
  /** Which surface it was when it was shot. */
  stage: oneOf(['existing', 'milled', 'lift', 'finished']),
  method: nullableString('total station, RTK, level, ...'),
  shotCount: Type.Integer(),
  createdAt: Moment,
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
export type Shot = Static<typeof Shot>;
