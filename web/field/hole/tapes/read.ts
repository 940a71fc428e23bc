import type { RoundTheClock, TapesTaken } from '#core/field/facts.ts';
import { readTapes } from '#core/surface/tapes.ts';
import { radians } from '#core/units/slope.ts';
import type { CoverCard } from '#shared/cover.ts';
import { readEntry, unitOf, type Way } from '../keys/entry.ts';
import { type Doubt, plannedTapes, suspectOf } from './doubt.ts';

/** What stands in the fields: kept on the phone until it is recorded. */
export interface TapeDraft {
  way: Way;
  texts: RoundTheClock<string>;
  radius: string;
}

export type TapesRead =
  | { state: 'incomplete' }
  | { state: 'disagree'; misclosure: number; doubt: Doubt }
  | { state: 'agree'; tapes: TapesTaken };

const withUnit = (text: string, way: Way) =>
  (/[a-z"'″′]/i.test(text) ? text : `${text} ${unitOf(way)}`).slice(0, 40);

/** The four tapes as typed, held against each other and, where they disagree, against the plan. */
export function readDraft(draft: TapeDraft, card: CoverCard): TapesRead {
  const read = [...draft.texts, draft.radius].map((text) => readEntry(text, draft.way, 'in'));
  const sizes = read.map((one) => (one !== null && 'metres' in one ? one.metres : null));
  const radiusM = sizes[4];
  if (sizes.includes(null) || !(radiusM! > 0) || sizes.slice(0, 4).some((down) => down! <= 0))
    return { state: 'incomplete' };
  const downM = sizes.slice(0, 4) as RoundTheClock<number>;
  const bearingDeg = card.roadBearingDeg ?? 0;
  const taped = readTapes({ down: downM, radius: radiusM!, bearing: radians(bearingDeg) });
  if (!taped.agrees)
    return {
      state: 'disagree',
      misclosure: taped.misclosure,
      doubt: suspectOf(downM, plannedTapes(card, radiusM!), radiusM!),
    };
  const asTyped = draft.texts.map((text) => withUnit(text.trim(), draft.way)) as RoundTheClock<string>;
  return {
    state: 'agree',
    tapes: { asTyped, downM, radiusM: radiusM!, bearingDeg, misclosureM: taped.misclosure },
  };
}
