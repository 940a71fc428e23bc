import Type, { type Static } from 'typebox';
import { PlacedRing, Residual } from './plan.ts';
import { exact, nullable, nullableString, oneOf } from './schema.ts';

const clock = Type.Tuple([Type.Number(), Type.Number(), Type.Number(), Type.Number()], {
  description: "12, 3, 6 and 9 o'clock looking up-station, + is proud.",
});

/** The way back from a rim off grade: the stack for the seat as the checked rim shows it to be. */
export const NewStack = exact({
  /** The check that it is worked out from. */
  record: Type.String({ format: 'uuid' }),
  rimErrorsM: clock,
  problem: nullableString('Why there is none; null where there is one.'),
  answer: nullable(
    exact({
      builtFrom: oneOf(['ringsUsed', 'stackChosen', 'plan'], 'Where the rings that stand are known from.'),
      built: Type.Array(PlacedRing),
      expectedM: clock,
      seatHigherM: Type.Number({ description: 'Seat, or what lies in the joints, over what was planned.' }),
      seatTiltUp: Type.Number({ description: 'Rise of that over run, up-station.' }),
      seatTiltRight: Type.Number({ description: 'The same to the right.' }),
      jointM: exact({ base: Type.Number(), between: Type.Number(), top: Type.Number() }),
      stack: Type.Array(PlacedRing),
      residual: Residual,
      allowanceM: Type.Number({
        description: 'Twice the sigma of rim and surface, taken off the tolerance.',
      }),
      withinTolerance: Type.Boolean(),
    }),
  ),
});

export type NewStack = Static<typeof NewStack>;
