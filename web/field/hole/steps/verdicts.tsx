import { fourClocks, judgeRim } from '#core/acceptance/rim.ts';
import { judgeStraightedge } from '#core/acceptance/straightedge.ts';
import type { Facts } from '#core/field/facts.ts';
import { formatSmall } from '#core/units/format.ts';
import { nominal } from '../../../units.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';

const says = {
  within: 'Within the limit.',
  doubtful: 'Within the limit, but not for sure.',
  off: 'Off grade.',
};

/** What the agency's limits say of this rim, at once; the engineer has the last word. */
export function RimVerdict({ hole, facts }: { hole: Hole; facts: Facts['rimChecked'] }) {
  const { units, accepted } = hole;
  const { proud, low } = accepted;
  const { state, worst } = judgeRim(fourClocks(facts.rimErrorsM), accepted, facts.sigmaM)!;
  const allowed =
    proud === low
      ? `${nominal(proud, units)} either way`
      : `${nominal(proud, units)} proud, ${nominal(low, units)} low`;
  return (
    <section class={`note${state === 'within' ? '' : ' stop'}`} role="status">
      <p>
        <b>{says[state]}</b> {lowOrProud(worst.error, units)} where it counts most; {allowed} is allowed.
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
  if (accepted.straightedge === null)
    return (
      <p class="note">
        The agency sets no limit for a straightedge here: the engineer judges what you record.
      </p>
    );
  const { lines, missing, isShort, isOff } = judgeStraightedge(facts, accepted.straightedge);
  const off = lines.filter((line) => line.isOff).map(({ way }) => way);
  const allowed = lines.map(({ way, limit }) => `${formatSmall(limit, units.small)} ${way}`);
  const isWithin = !isOff && missing.length === 0 && !isShort;
  return (
    <section class={`note${isWithin ? '' : ' stop'}`} role="status">
      <p>
        <b>{isOff ? `Past the limit ${off.join(' and ')}.` : 'Within the limit.'}</b>
        {allowed.length > 0 && ` ${allowed.join(', ')} is allowed.`}
      </p>
      {missing.length > 0 && <p>It is asked for {missing.join(' and ')} too.</p>}
      {isShort && <p>A longer edge is asked for: this one shows less.</p>}
      {lines.some(({ isAfloat }) => isAfloat) && (
        <p>Read it where the edge rests too: 0 at two places. Until then the largest gap counts as it is.</p>
      )}
    </section>
  );
}
