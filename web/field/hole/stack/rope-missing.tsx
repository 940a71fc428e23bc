import { nominal } from '../../../units.ts';
import { ThickRope } from '../steps/thick-rope.tsx';
import type { Hole } from '../types.ts';
import type { StackInForce } from './in-force.ts';
import { isRopeMissing } from './rope.ts';

/** A stack from before the vacuum test's rope was asked for: not to be built, and the one that is to be. */
export function RopeMissing({ hole, force }: { hole: Hole; force: StackInForce }) {
  const { card, units, accepted } = hole;
  if (accepted.thickRope === null || !isRopeMissing(card, force)) return null;
  return (
    <section class="note stop" role="alert" aria-label="Rope of the vacuum test">
      <p>
        <b>Not to be built yet: a vacuum test is asked for, and these rings do not count its thick rope</b> at
        bottom and top ({nominal(accepted.thickRope, units)} pressed). Build the stack below in their place,
        or wait for a new plan.
      </p>
      <ThickRope hole={hole} pressedM={accepted.thickRope} />
    </section>
  );
}
