import { shownBy } from '#core/acceptance/straightedge.ts';
import type { StraightedgeLine } from '#core/field/facts.ts';
import { formatSmall } from '#core/units/format.ts';
import type { Units } from '../units.ts';
import type { CoverRecord } from './hole/types.ts';
import { recordWords } from './record-words.ts';

const outcomes = {
  found: 'Found',
  notFound: 'Not found',
  buried: 'Buried',
  otherOwner: 'Another owner’s',
};

/** What two records can disagree in, in a few words. */
export function sayFacts(record: CoverRecord, units: Pick<Units, 'small'>): string {
  const size = (metres: number) =>
    `${formatSmall(Math.abs(metres), units.small)}${metres === 0 ? '' : metres > 0 ? ' proud' : ' low'}`;
  const rings = (stack: readonly { ring: string }[]) =>
    stack.length === 0 ? 'No rings' : stack.map(({ ring }) => ring).join(', ');
  switch (record.kind) {
    case 'found':
      return outcomes[record.facts.outcome];
    case 'plated':
      return `Plate ${record.facts.plate}`;
    case 'liftReached':
      return `${record.facts.way === 'raised' ? 'Raised' : record.facts.way === 'leftLow' ? 'Left low' : 'Left plated'}, ${record.facts.stage} ${record.facts.lift ?? ''}`;
    case 'stackChosen':
    case 'ringsUsed':
      return rings(record.facts.stack);
    case 'rimChecked':
      return `Rim at 12, 3, 6, 9: ${record.facts.rimErrorsM.map(size).join(', ')}`;
    case 'straightedge': {
      const { along, across, lengthM } = record.facts;
      const line = (one: StraightedgeLine) => {
        const { gap, proud } = shownBy(one, lengthM);
        return `${formatSmall(gap, units.small)} gap, ${formatSmall(proud, units.small)} proud`;
      };
      return `Straightedge along ${line(along)}${across ? `; across ${line(across)}` : ''}`;
    }
    case 'bevelled':
      return `Bevel ${formatSmall(record.facts.riseM, units.small)} in ${formatSmall(record.facts.runM, units.small)}`;
    case 'accepted':
      return record.facts.accepted ? 'Accepted' : 'Not accepted';
    default:
      return recordWords(record.kind);
  }
}
