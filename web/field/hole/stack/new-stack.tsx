import { walk } from '#core/field/walk.ts';
import { formatSmall } from '#core/units/format.ts';
import { standing } from '../standing.ts';
import type { Hole } from '../types.ts';
import { lowOrProud } from '../units.ts';
import { MiniStack } from './mini-stack.tsx';

/** The rim was off grade: another stack on the seat as the checked rim shows it, as long as that check is the last word. */
export function NewStackNote({ hole }: { hole: Hole }) {
  const { card, units, records } = hole;
  const { newStack, plan } = card;
  const check = walk(standing(records), () => true).checks.rimChecked;
  if (!newStack?.answer || check?.id !== newStack.record) return null;
  const { stack, residual, jointM, seatHigherM, withinTolerance } = newStack.answer;
  const worst = residual.centreM < 0 ? -residual.worstM : residual.worstM;
  const take = () =>
    hole.record('stackChosen', {
      ...{ because: 'other', reason: 'New stack from the rim as measured', tapes: null, truck: null },
      ...{ jointM, stack, worstM: residual.worstM, centreM: residual.centreM, tiltM: residual.tiltM },
      ...{ planRevision: plan?.revision ?? null, planStack: plan?.stack ?? [] },
    });
  return (
    <section class="note stop" aria-label="New stack from the rim as measured">
      <p>
        <b>The rim was off grade. New stack from the rim as measured:</b> ends {lowOrProud(worst, units)}
        {withinTolerance ? '.' : ', not safely within the limit: tape it.'}
      </p>
      <MiniStack stack={stack} card={card} />
      <p>
        Seat or joints are {formatSmall(Math.abs(seatHigherM), units.small)}{' '}
        {seatHigherM < 0 ? 'lower' : 'higher'} than planned.
      </p>
      <button type="button" class="big main" onClick={take}>
        Build this stack
      </button>
    </section>
  );
}
