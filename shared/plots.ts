import Type, { type Static } from 'typebox';
import { ChimneyLimit } from './outlook.ts';
import { nullableDate } from './rim-record.ts';
import { exact, nullableNumber, nullableString, oneOf } from './schema.ts';

/** Bins without gaps from the least to the greatest value; a value on an edge is in the upper bin. */
export const Histogram = exact({
  unit: oneOf(['in', 'mm']),
  binM: Type.Number({ description: 'Width of a bin: 1/2 in or 10 mm; of rim errors 1/32 in or 1 mm.' }),
  bins: Type.Array(exact({ fromM: Type.Number(), toM: Type.Number(), covers: Type.Integer() })),
  below: Type.Integer({ description: 'Covers below the first bin.' }),
  above: Type.Integer({ description: 'Covers above the last bin.' }),
  unknown: Type.Integer({ description: 'Covers without a value.' }),
  medianM: nullableNumber(),
});

/** Raise left to the chimney limit along a street; below 0: past it. */
export const StreetRemaining = exact({
  street: nullableString(),
  covers: Type.Integer(),
  unknown: Type.Integer({ description: 'Covers with no rim measured.' }),
  pastLimit: Type.Integer(),
  leastM: nullableNumber(),
  lowerQuartileM: nullableNumber(),
  medianM: nullableNumber(),
  upperQuartileM: nullableNumber(),
  greatestM: nullableNumber(),
});

export const NightProgress = exact({
  night: nullableDate,
  covers: Type.Integer(),
  byStatus: Type.Record(Type.String(), Type.Integer(), {
    description: "The field's status where there is one, else the plan's; `unplanned` for neither.",
  }),
});

export const ProjectPlots = exact({
  netBuildup: Histogram,
  /** Largest rim error of each stack that is to be put together. */
  worst: Histogram,
  limit: ChimneyLimit,
  remainingByStreet: Type.Array(StreetRemaining, { description: 'Least median first, at most 500.' }),
  streetCount: Type.Integer(),
  nights: Type.Array(NightProgress, { description: 'By date; null last.' }),
});

export type Histogram = Static<typeof Histogram>;
export type StreetRemaining = Static<typeof StreetRemaining>;
export type NightProgress = Static<typeof NightProgress>;
export type ProjectPlots = Static<typeof ProjectPlots>;
