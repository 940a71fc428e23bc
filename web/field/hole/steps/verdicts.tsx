import type { Facts } from '#core/field/facts.ts';
import { formatSmall } from '#core/units/format.ts';
import { nominal } from '../../../units.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';
import { judgeEdge, judgeRim } from './verdict.ts';

const says = {
  within: 'Within the limit.',
  doubtful: 'Within the limit, but not for sure.',
  off: 'Off grade.',
};

/** What the agency's limits say of this rim, at once; the engineer has the last word. */
export function RimVerdict({ hole, facts }: { hole: Hole; facts: Facts['rimChecked'] }) {
  const { units } = hole;
  const { proud, low } = hole.accepted;
  const { state, worst } = judgeRim(facts, { proud, low });
  const allowed =
    proud === low
      ? `${nominal(proud, units)} either way`
      : `${nominal(proud, units)} proud, ${nominal(low, units)} low`;
  return (
    <section class={`note${state === 'within' ? '' : ' stop'}`} role="status">
      <p>
        <b>{says[state]}</b> {lowOrProud(worst, units)} where it counts most; {allowed} is allowed.
      </p>
      {state === 'doubtful' && (
        <p>
          A shot by this method is good to ± {formatSmall(2 * facts.sigmaM, units.small)}: measure it closer.
        </p>
      )}
      {state === 'off' && <p>Record it as it is. Then tape it and solve again from where it stands.</p>}
    </section>
  );
}

/** Gap and step against the agency's limits, where it sets any. */
export function EdgeVerdict({ hole, facts }: { hole: Hole; facts: Facts['straightedge'] }) {
  const { units, accepted } = hole;
  const { along, across } = accepted.straightedge;
  if (along === null && across === null)
    return (
      <p class="note">
        The agency sets no limit for a straightedge here: the engineer judges what you record.
      </p>
    );
  const past = judgeEdge(facts, { along, across });
  const allowed = [
    along === null ? '' : `${nominal(along, units)} along`,
    across === null ? '' : `${nominal(across, units)} across`,
  ].filter(Boolean);
  return (
    <p class={`note${past.length > 0 ? ' stop' : ''}`} role="status">
      <b>{past.length > 0 ? `Past the limit ${past.join(' and ')}.` : 'Within the limit.'}</b>{' '}
      {allowed.join(', ')} is allowed.
    </p>
  );
}
