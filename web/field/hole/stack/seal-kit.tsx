import { sayAmounts, sealAmounts } from '#core/seal/kit.ts';
import { countSeals } from '#core/seal/sealPlan.ts';
import { sealSizes } from '#shared/sealant-limits.ts';
import type { Hole } from '../types.ts';
import { ordersOf } from './beads.ts';
import type { StackInForce } from './in-force.ts';
import { isRopeMissing } from './rope.ts';

/** What sealing this stack takes; none for one that is not to be built, nor from a card without the sizes. */
export function SealKit({ hole, force }: { hole: Hole; force: StackInForce }) {
  const { limits, ringCatalogue } = hole.card;
  if (ringCatalogue === null || !limits.sealBeadM || isRopeMissing(hole.card, force)) return null;
  const lines = sayAmounts(sealAmounts(countSeals([ordersOf(hole, force)]), sealSizes(limits)));
  return (
    <section class="note" aria-label="Sealant for this stack">
      <p>
        <b>To seal it:</b> {lines.join('; ')}.
      </p>
    </section>
  );
}
