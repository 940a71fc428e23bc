import { shownBy } from '#core/acceptance/straightedge.ts';
import type { KeptRecord, StraightedgeLine } from '#core/field/facts.ts';
import { formatDistance, formatSmall } from '#core/units/format.ts';
import type { Units } from '../../units.ts';

/** A straightedge as it was laid: what each line shows, and its readings where it was read at places. */
export function LaidEdge({ record, units }: { record: KeptRecord<'straightedge'>; units: Units }) {
  const { lengthM, along, across } = record.facts;
  const far = (metres: number) => formatDistance(metres, units.elevation, 2);
  const small = (metres: number) => formatSmall(metres, units.small);
  const line = (one: StraightedgeLine) => {
    const { gap, proud } = shownBy(one, lengthM);
    const read = one.readings?.map(({ atM, downM, on }) => `${small(downM)} at ${far(atM)} (${on})`) ?? [];
    return `gap ${small(gap)}, proud ${small(proud)}${read.length > 0 ? `; read ${read.join(', ')}` : ''}`;
  };
  return (
    <p class="quiet">
      Straightedge of {far(lengthM)} laid by {record.by}. Along: {line(along)}.
      {across !== null && ` Across: ${line(across)}.`}
    </p>
  );
}
