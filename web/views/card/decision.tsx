import { sayReason } from '#core/decision/words.ts';
import type { CoverCard } from '#shared/cover.ts';
import type { Units } from '../../units.ts';
import { decisionSentence } from '../../words.ts';
import { PlanAgain } from '../plan-again.tsx';

/** What to do and why, in words; a plan that its inputs have left behind stays, struck. */
export function Decision({ card, units }: { card: CoverCard; units: Units }) {
  if (!card.plan) {
    return (
      <section class="decision">
        <p class="headline">Not planned yet.</p>
        <PlanAgain word="Plan now" />
      </section>
    );
  }
  const sentence = decisionSentence(card.plan, card.ringCatalogue, units);
  const reasons = card.plan.reasons.map((reason) => sayReason(reason, units));
  return (
    <section class="decision" aria-label="Decision">
      <p class="headline">{card.planStale ? <s>{sentence}</s> : sentence}</p>
      {reasons.length > 0 && <p class="reasons">{reasons.join(' ')}</p>}
      {card.planStale && (
        <p class="stale-note">
          <b>Something changed since this plan.</b> <PlanAgain word="Plan again" />
        </p>
      )}
    </section>
  );
}
