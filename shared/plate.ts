import Type, { type Static } from 'typebox';
import { nullableDate } from './rim-record.ts';
import { exact, Moment, nullableNumber, nullableString } from './schema.ts';

/** A cover under a plate that was not reopened yet. It stays in the list until somebody records that it was. */
export const Plate = exact({
  structureId: Type.String(),
  street: nullableString(),
  stationM: nullableNumber(),
  plate: Type.String(),
  since: Moment,
  by: Type.String(),
  ties: Type.Array(exact({ to: Type.String(), distanceM: Type.Number() })),
  crew: nullableString(),
  night: nullableDate,
});

/** The one that lies longest first. */
export const PlateList = exact({ items: Type.Array(Plate) });

export type Plate = Static<typeof Plate>;
