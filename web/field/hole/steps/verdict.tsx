import type { Facts } from '#core/field/facts.ts';
import { nominal } from '../../../units.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';

/** What the agency says of this rim, at once. */
export function RimVerdict({ hole, facts }: { hole: Hole; facts: Facts['rimChecked'] }) {
  const tolerance = hole.card.limits.toleranceM.value;
  const worst = facts.rimErrorsM.reduce((far, one) => (Math.abs(one) > Math.abs(far) ? one : far), 0);
  const isOff = Math.abs(worst) > tolerance;
  return (
    <p class={`note${isOff ? ' stop' : ''}`} role="status">
      <b>{isOff ? 'Off grade.' : 'Within the limit.'}</b> {lowOrProud(worst, hole.units)} at worst;{' '}
      {nominal(tolerance, hole.units)} is allowed.
    </p>
  );
}

export function EdgeVerdict(_: { hole: Hole; facts: Facts['straightedge'] }) {
  return null;
}
