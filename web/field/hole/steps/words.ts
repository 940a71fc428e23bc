import { shownBy } from '#core/acceptance/straightedge.ts';
import type { Facts, RecordKind, StraightedgeLine } from '#core/field/facts.ts';
import { judgeTest } from '#core/seal/judgeVacuum.ts';
import { formatFeetAndInches, formatSmall, proudOrLow } from '#core/units/format.ts';
import type { Units } from '../../../units.ts';
import { ringName } from '../stack/ring-words.ts';
import { timeText } from '../standing.ts';
import type { Hole } from '../types.ts';

type Of = Pick<Hole, 'card' | 'units' | 'vacuumTable'>;
type Words = { [Kind in RecordKind]?: (facts: Facts[Kind], hole: Of) => string };

const outcomes = { found: 'Found', notFound: 'Not found', buried: 'Buried', otherOwner: 'Another owner’s' };
const stages = { milled: 'Milled', lift: 'Lift', finished: 'Finished surface' };
const wayWords = { raised: 'raised to it', leftPlated: 'left plated', leftLow: 'left low' };
const methods = { string: 'string', level: 'level', totalStation: 'total station', gnss: 'GNSS' };

/** A distance to a tie: `18 ft 4 in` or `5.60 m`. */
export const distanceText = (metres: number, { smallUnit }: Units): string =>
  smallUnit === 'mm' ? `${metres.toFixed(2)} m` : formatFeetAndInches(metres, 8);

const tieWords = (ties: Facts['found']['ties'], units: Units) =>
  ties.map(({ to, distanceM }) => `${distanceText(distanceM, units)} to ${to}`).join(', ');

const clockWords = (errors: readonly number[], units: Units) =>
  errors.map((error, index) => `${[12, 3, 6, 9][index]}: ${proudOrLow(error, units.small)}`).join(', ');

function edgeWords(line: StraightedgeLine, lengthM: number, { small }: Units): string {
  const { gap, proud } = shownBy(line, lengthM);
  const read = line.readings ? `, of ${line.readings.length} readings` : '';
  return `gap ${formatSmall(gap, small)}, proud ${formatSmall(proud, small)}${read}`;
}

const joined = (...parts: (string | false)[]) => parts.filter(Boolean).join('. ');

/** What was measured, in a line. */
const words: Words = {
  found: ({ outcome, ties, note }, { units }) => joined(outcomes[outcome], tieWords(ties, units), note),
  plated: ({ plate, ties }, { units }) => joined(`Plate ${plate}`, tieWords(ties, units)),
  reopened: ({ plate }) => `Plate ${plate} is off`,
  liftReached: ({ stage, lift, way }) =>
    `${stages[stage]}${lift === null ? '' : ` ${lift}`}, ${wayWords[way]}`,
  stackChosen: ({ reason, stack }, { card }) =>
    joined(stack.map(({ ring }) => ringName(ring, card.ringCatalogue)).join(', ') || 'No rings', reason),
  photo: ({ caption }) => `Picture${caption ? `: ${caption}` : ''}`,
  dryStacked: ({ rimErrorsM, marked }, { units }) =>
    joined(clockWords(rimErrorsM, units), marked ? 'Marked' : 'Not marked'),
  ringsUsed: ({ stack, asChosen, reason }, { card }) =>
    joined(
      stack.map(({ ring }) => ringName(ring, card.ringCatalogue)).join(', ') || 'No rings',
      !asChosen && `Other than chosen: ${reason}`,
    ),
  sealed: ({ joints }, { units }) =>
    joints
      .map(
        ({ form, sizeM, count, endsJoined, joint }) =>
          `${joint === 0 ? 'Seat' : `Ring ${joint}`}: ${count} ${form} ${formatSmall(sizeM, units.small)}${endsJoined ? '' : ', ends open'}`,
      )
      .join('. '),
  spigotTrimmed: ({ rings, why }, { card }) =>
    `${rings.map((id) => ringName(id, card.ringCatalogue)).join(', ')}: ${why === 'offCentre' ? 'opening off centre' : 'opening too small'}`,
  seatSeen: ({ surface }) => (surface === 'rough' ? 'Rough but sound: two beads' : 'Even and sound'),
  mortarBed: ({ thicknessM, why, cureHours }, { units }) =>
    joined(`${formatSmall(thicknessM, units.small)} bed`, why, `Cure ${cureHours} h`),
  frameSet: ({ centred, offsetM }, { units }) =>
    centred ? 'Centred' : `Off centre${offsetM === null ? '' : ` by ${formatSmall(offsetM, units.small)}`}`,
  backfilled: ({ material }) => material,
  collarPlaced: ({ material, mix, pouredAt, cureHours }) =>
    joined(
      `${material === 'concrete' ? 'Concrete' : 'Asphalt'}${mix ? `, ${mix}` : ''}`,
      `Poured ${timeText(pouredAt)}, cure ${cureHours} h`,
    ),
  rimChecked: ({ rimErrorsM, method }, { units }) =>
    joined(clockWords(rimErrorsM, units), `By ${methods[method]}`),
  straightedge: ({ lengthM, along, across }, { units }) =>
    joined(
      `${distanceText(lengthM, units)}. Along: ${edgeWords(along, lengthM, units)}`,
      across !== null && `Across: ${edgeWords(across, lengthM, units)}`,
    ),
  bevelled: ({ riseM, runM }, { units }) =>
    `Rises ${formatSmall(riseM, units.small)} in ${formatSmall(runM, units.small)}, 1:${(runM / riseM).toFixed(1)}`,
  vacuum: (facts, { vacuumTable }) => {
    const { startInHg, endInHg, seconds, requiredSeconds, reason } = facts;
    return joined(
      { passed: 'Passed', failed: 'Failed', notTested: 'NOT TESTED' }[judgeTest(facts, vacuumTable).outcome],
      seconds !== null &&
        `${startInHg} to ${endInHg} inHg in ${Math.round(seconds)} s${requiredSeconds === null ? '' : ` of ${requiredSeconds} s`}`,
      reason,
    );
  },
  note: ({ text }) => text,
};

export function factWords<Kind extends RecordKind>(kind: Kind, facts: Facts[Kind], hole: Of): string {
  const say = words[kind] as ((facts: Facts[Kind], hole: Of) => string) | undefined;
  return say?.(facts, hole) ?? '';
}
